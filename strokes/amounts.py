"""What each tolerance lets through: the amount a check measures, on well-formed real ink and on damaged ink.

A finding bears its amount only past its limit, so the limit in question is set to next to nothing and the
amounts are read off. Stems begun lower are measured between lines laid on the untouched ink; what is told by
guide lines alone (size, reach, place) cannot be shown on ink whose lines are not known. No
fault leaves a stroke before its end or shortens a stem without lines (end, stem); the corridor and the
smallest mark are no limit of an amount.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace
from typing import TypeAlias

import numpy as np

from strokes.accepted import acceptable
from strokes.checks import check
from strokes.damage import Other, Traces, faults
from strokes.ink import Ink
from strokes.labelled import Sample
from strokes.letter import Alphabet, GuideLines, Letter
from strokes.polyline import Floats
from strokes.report import Kind
from strokes.tolerances import Tolerances
from strokes.ways import x_height

NOTHING, EVERYTHING = 1e-9, 1e9

Row: TypeAlias = tuple[str, float, float]
"""The name of a measure, and its amounts in good and in damaged ink."""


@dataclass(frozen=True)
class Measure:
    """One tolerance: its field, the kind of finding that bears the amount, and the fault it should tell.

    `limits` make the finding speak in all ink. `least` is for amounts that are worse the smaller they are.
    """

    name: str
    kind: Kind
    fault: str
    unit: str
    limits: Mapping[str, float] = field(default_factory=dict)
    least: bool = False

    @property
    def never(self) -> float:
        """The amount of ink in which nothing is found at any limit."""
        return np.inf if self.least else 0.0


MOVED_DOT = "dot moved by one x-height"

MEASURES: tuple[Measure, ...] = (
    Measure("start", Kind.START, "start moved", "x-heights", {"start": NOTHING, "dot": EVERYTHING}),
    Measure("dot", Kind.START, MOVED_DOT, "x-heights", {"dot": NOTHING, "start": EVERYTHING}),
    Measure("backwards", Kind.DIRECTION, "backwards", "share of length", {"backwards": NOTHING}),
    Measure("closure", Kind.CLOSURE, "opened loop", "x-heights", {"closure": NOTHING}),
    Measure("shape", Kind.SHAPE, "another letter", "x-heights", {"shape": NOTHING, "letter": NOTHING}),
    Measure(
        "outside",
        Kind.SHAPE,
        "another letter",
        "share of length",
        {"outside": NOTHING, "shape": EVERYTHING, "letter": NOTHING},
    ),
    Measure(
        "reversal", Kind.REVERSAL, "mirror image", "share of the plain fit", {"reversal": EVERYTHING}, True
    ),
    Measure("letter", Kind.LETTER, "another letter", "share of the own fit", {"letter": EVERYTHING}, True),
)


@dataclass(frozen=True)
class Amounts:
    """For one tolerance, the amounts in accepted and in damaged ink."""

    measure: Measure
    good: Floats
    bad: Floats

    def refused(self, limit: float) -> tuple[float, float]:
        """The shares of good and of damaged ink that are past this limit; 0 where there is none."""
        return self._past(self.good, limit), self._past(self.bad, limit)

    def _past(self, amounts: Floats, limit: float) -> float:
        if not len(amounts):
            return 0.0
        return float(np.mean(amounts < limit if self.measure.least else amounts > limit))


def measured(sample: Sample, alphabet: Alphabet, other: Other | None) -> list[Row]:
    """For each measure, the amounts in this sample untouched and damaged, where its fault applies.

    A sample that the table of formations does not accept gives nothing.
    """
    if not acceptable(sample.letter, sample.traces):
        return []
    damages: dict[str, tuple[Traces, GuideLines | None]] = {
        one.fault: (one.traces, one.guide)
        for one in faults(sample.letter, sample.traces, other)
        if not one.skipped and one.counted
    }
    if sample.letter in "ij":
        damages[MOVED_DOT] = (_dot_moved(sample), None)
    found = []
    for one in MEASURES:
        if one.fault in damages:
            traces, guide = damages[one.fault]
            good = _amount(one, sample.traces, guide, alphabet[sample.letter])
            found.append((one.name, good, _amount(one, traces, guide, alphabet[sample.letter])))
    return found


def _dot_moved(sample: Sample) -> Traces:
    body, dot = sample.traces[0], sample.traces[1]
    return (body, dot + (x_height(sample.letter, sample.traces), 0.0))


def _amount(measure: Measure, traces: Traces, guide: GuideLines | None, letter: Letter) -> float:
    tolerances = replace(Tolerances(), **measure.limits)
    report = check(Ink.from_arrays(traces), letter, guide=guide, tolerances=tolerances)
    amounts = [abs(one.amount) for one in report.findings if one.kind is measure.kind]
    return (min(amounts) if measure.least else max(amounts)) if amounts else measure.never


def gathered(rows: Sequence[Row]) -> list[Amounts]:
    """The amounts of all samples, by measure."""
    found = []
    for measure in MEASURES:
        mine = np.array([(good, bad) for name, good, bad in rows if name == measure.name]).reshape(-1, 2)
        found.append(Amounts(measure, mine[:, 0], mine[:, 1]))
    return found
