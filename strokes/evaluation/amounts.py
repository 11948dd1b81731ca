"""What each tolerance lets through: the amount a check measures, on well-formed real ink and on damaged ink.

A finding bears its amount only past its limit, so the limit in question is set to next to nothing and the
amounts are read off. Stems begun lower are measured between lines laid on the untouched ink; size, reach and
place between lines at the writer's usual x-height (`usual`). The corridor and the smallest mark are no limit
of an amount.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field, replace
from typing import TypeAlias

import numpy as np

from strokes.alphabet import Alphabet
from strokes.checks import check
from strokes.evaluation.accepted import acceptable
from strokes.evaluation.damage import Other, faults
from strokes.evaluation.labelled import Sample
from strokes.evaluation.ruled import (
    FLOATS,
    LARGE,
    LEFT_OUT,
    PRESSED,
    SMALL,
    begun_later,
    floating,
    left_early,
    lines_for,
    pressed,
    resized,
)
from strokes.evaluation.trace_shape import Traces, reach, x_height
from strokes.ink import Ink
from strokes.kinds import Kind
from strokes.letter import GuideLines, Letter
from strokes.polyline import Floats
from strokes.report import Finding
from strokes.tolerances import Tolerances

NOTHING, EVERYTHING = 1e-9, 1e9

BESIDE_STEM = "bhkp"
"""Letters whose first stem has something beside it, by which to see how far it rises."""

LOWER = 1.0
"""X-heights by which such a stem is begun lower, without lines."""

Row: TypeAlias = tuple[str, float, float]
"""The name of a measure, and its amounts in good and in damaged ink."""


def _amount(finding: Finding, _: Letter) -> float:
    return abs(finding.amount)


def _past_the_line(finding: Finding, letter: Letter) -> float:
    """How far an ascender or descender passes the line, of a finding that bears it as a ratio."""
    tall = reach(letter.name)[0] > 1.0
    return finding.amount / finding.limit * (EVERYTHING + tall) - tall


@dataclass(frozen=True)
class Measure:
    """One tolerance: its field, the kind of finding that bears the amount, and the fault to be reported.

    `limits` make the finding speak in all ink. `least` is for amounts that are worse the smaller they are.
    `read` gives the amount in the tolerance's own unit.
    """

    name: str
    kind: Kind
    fault: str
    unit: str
    limits: Mapping[str, float] = field(default_factory=dict)
    least: bool = False
    read: Callable[[Finding, Letter], float] = _amount

    @property
    def never(self) -> float:
        """The amount of ink in which nothing is found at any limit."""
        return np.inf if self.least else 0.0


MOVED_DOT = "dot moved by one x-height"
LOW_STEM = f"stem begun {LOWER:g} x-height lower, no lines"
LEFT_EARLY = f"left {LEFT_OUT:g} x-heights before its end"
TOO_SMALL, TOO_LARGE = f"{SMALL:g} times the size", f"{LARGE:g} times the size"
TOO_SHORT = f"ascender or descender {PRESSED:g} as long"
FLOATING = f"{FLOATS:g} x-heights above the base line"

MEASURES: tuple[Measure, ...] = (
    Measure("start", Kind.START, "start moved", "x-heights", {"start": NOTHING, "dot": EVERYTHING}),
    Measure(
        "stem",
        Kind.START,
        LOW_STEM,
        "x-heights",
        {"stem": NOTHING, "start": EVERYTHING, "dot": EVERYTHING},
    ),
    Measure(
        "end",
        Kind.SHAPE,
        LEFT_EARLY,
        "x-heights",
        {"end": NOTHING, "shape": EVERYTHING, "outside": EVERYTHING, "letter": NOTHING, "reversal": NOTHING},
    ),
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
    Measure("size_small", Kind.SIZE, TOO_SMALL, "times the usual size", {"size_small": EVERYTHING}, True),
    Measure("size_large", Kind.SIZE, TOO_LARGE, "times the usual size", {"size_large": NOTHING}),
    Measure(
        "reach",
        Kind.SIZE,
        TOO_SHORT,
        "x-heights past the line",
        {"reach": EVERYTHING, "size_small": NOTHING, "size_large": EVERYTHING, "end": EVERYTHING},
        True,
        _past_the_line,
    ),
    Measure("place", Kind.PLACE, FLOATING, "x-heights", {"place": NOTHING}),
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


@dataclass(frozen=True, eq=False)
class DamagedPair:
    """One fault: well-formed ink, the same ink with the fault, and the lines both are judged between."""

    good: Traces
    bad: Traces
    guide: GuideLines | None = None


def measured(
    sample: Sample, alphabet: Alphabet, other: Other | None, usual: float | None = None
) -> list[Row]:
    """For each measure, the amounts in this sample untouched and damaged, where its fault applies.

    `usual` is the writer's x-height, if known. A sample that the table of formations does not accept gives
    nothing.
    """
    if not acceptable(sample.letter, sample.traces):
        return []
    pairs = _pairs(sample, other, usual)
    letter = alphabet[sample.letter]
    return [
        (
            measure.name,
            _measure(measure, pair.good, pair.guide, letter),
            _measure(measure, pair.bad, pair.guide, letter),
        )
        for measure in MEASURES
        if (pair := pairs.get(measure.fault))
    ]


def _pairs(sample: Sample, other: Other | None, usual: float | None) -> dict[str, DamagedPair]:
    letter, traces = sample.letter, sample.traces
    pairs = {
        damaged.fault: DamagedPair(traces, damaged.traces, damaged.guide)
        for damaged in faults(letter, traces, other)
        if not damaged.skipped and damaged.counted
    }
    unit = x_height(letter, traces)
    if letter in "ij":
        pairs[MOVED_DOT] = DamagedPair(traces, (traces[0], traces[1] + (unit, 0.0)))
    if letter in BESIDE_STEM and (low := begun_later(traces, LOWER, unit)):
        pairs[LOW_STEM] = DamagedPair(traces, low)
    if early := left_early(letter, traces, unit):
        pairs[LEFT_EARLY] = DamagedPair(traces, early)
    if usual:
        lines = lines_for(letter, traces, usual)
        pairs[TOO_SMALL] = DamagedPair(traces, resized(traces, lines, SMALL), lines)
        pairs[TOO_LARGE] = DamagedPair(traces, resized(traces, lines, LARGE), lines)
        pairs[FLOATING] = DamagedPair(traces, floating(traces, lines), lines)
        if sum(reach(letter)) == 2.0:
            pairs[TOO_SHORT] = DamagedPair(traces, pressed(traces, lines), lines)
    return pairs


def _measure(measure: Measure, traces: Traces, guide: GuideLines | None, letter: Letter) -> float:
    tolerances = replace(Tolerances(), **measure.limits)
    report = check(Ink.from_arrays(traces), letter, guide=guide, tolerances=tolerances)
    amounts = [measure.read(finding, letter) for finding in report.findings if finding.kind is measure.kind]
    return (min(amounts) if measure.least else max(amounts)) if amounts else measure.never


def gathered(rows: Sequence[Row]) -> list[Amounts]:
    """The amounts of all samples, by measure."""
    gathered_amounts = []
    for measure in MEASURES:
        pairs = np.array([(good, bad) for name, good, bad in rows if name == measure.name]).reshape(-1, 2)
        gathered_amounts.append(Amounts(measure, pairs[:, 0], pairs[:, 1]))
    return gathered_amounts
