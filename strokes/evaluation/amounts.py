"""What each tolerance lets through: the amount a check measures, on well-formed real ink and on damaged ink.

`strokes.checks.measure` gives every amount, past its limit or not; the worst is what a tolerance is held
against. Stems begun lower are measured between lines laid on the untouched ink; size, reach and
place between lines at the writer's usual x-height (`usual`). The corridor and the smallest mark are no limit
of an amount.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import TypeAlias

import numpy as np

from strokes.alphabet import Alphabet
from strokes.checks import Measure, measure
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
from strokes.letter import GuideLines
from strokes.polyline import Floats

BESIDE_STEM = "bhkp"
"""Letters whose first stem has something beside it, by which to see how far it rises."""

LOWER = 1.0
"""X-heights by which such a stem is begun lower, without lines."""

Row: TypeAlias = tuple[str, float, float]
"""The name of a tolerance, and the amounts in good and in damaged ink."""


@dataclass(frozen=True)
class Limited:
    """One tolerance that limits a measure: its name and unit, and the fault that it should tell.

    `least` is for amounts that are worse the smaller they are.
    """

    name: str
    fault: str
    unit: str
    least: bool = False

    @property
    def never(self) -> float:
        """The amount of ink in which this is not measured: within any limit."""
        return np.inf if self.least else 0.0


MOVED_DOT = "dot moved by one x-height"
LOW_STEM = f"stem begun {LOWER:g} x-height lower, no lines"
LEFT_EARLY = f"left {LEFT_OUT:g} x-heights before its end"
TOO_SMALL, TOO_LARGE = f"{SMALL:g} times the size", f"{LARGE:g} times the size"
TOO_SHORT = f"ascender or descender {PRESSED:g} as long"
FLOATING = f"{FLOATS:g} x-heights above the base line"

LIMITED: tuple[Limited, ...] = (
    Limited("start", "start moved", "x-heights"),
    Limited("stem", LOW_STEM, "x-heights"),
    Limited("end", LEFT_EARLY, "x-heights"),
    Limited("dot", MOVED_DOT, "x-heights"),
    Limited("backwards", "backwards", "share of length"),
    Limited("closure", "opened loop", "x-heights"),
    Limited("shape", "another letter", "x-heights"),
    Limited("outside", "another letter", "share of length"),
    Limited("reversal", "mirror image", "share of the plain fit", least=True),
    Limited("letter", "another letter", "share of the own fit", least=True),
    Limited("size_small", TOO_SMALL, "times the usual size", least=True),
    Limited("size_large", TOO_LARGE, "times the usual size"),
    Limited("reach", TOO_SHORT, "share of the room past the line", least=True),
    Limited("place", FLOATING, "x-heights"),
)


@dataclass(frozen=True)
class Amounts:
    """For one tolerance, the amounts in accepted and in damaged ink."""

    limited: Limited
    good: Floats
    bad: Floats

    def refused(self, limit: float) -> tuple[float, float]:
        """The shares of good and of damaged ink that are past this limit; 0 where there is none."""
        return self._past(self.good, limit), self._past(self.bad, limit)

    def _past(self, amounts: Floats, limit: float) -> float:
        if not len(amounts):
            return 0.0
        return float(np.mean(amounts < limit if self.limited.least else amounts > limit))


@dataclass(frozen=True, eq=False)
class DamagedPair:
    """One fault: well-formed ink, the same ink with the fault, and the lines both are judged between."""

    good: Traces
    bad: Traces
    guide: GuideLines | None = None


def measured(
    sample: Sample, alphabet: Alphabet, other: Other | None, usual: float | None = None
) -> list[Row]:
    """For each tolerance, the amounts in this sample untouched and damaged, where its fault applies.

    `usual` is the writer's x-height, if known. A sample that the table of formations does not accept gives
    nothing.
    """
    if not acceptable(sample.letter, sample.traces):
        return []
    letter = alphabet[sample.letter]
    good: dict[GuideLines | None, list[Measure]] = {}
    rows = []
    for fault, pair in _pairs(sample, other, usual).items():
        if pair.guide not in good:
            good[pair.guide] = measure(Ink.from_arrays(pair.good), letter, guide=pair.guide)
        bad = measure(Ink.from_arrays(pair.bad), letter, guide=pair.guide)
        rows += [
            (limited.name, _worst(limited, good[pair.guide]), _worst(limited, bad))
            for limited in LIMITED
            if limited.fault == fault
        ]
    return rows


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


def _worst(limited: Limited, measures: Sequence[Measure]) -> float:
    """The amount that decides whether the tolerance is kept."""
    amounts = [abs(measure.amount) for measure in measures if measure.tolerance == limited.name]
    return (min if limited.least else max)(amounts, default=limited.never)


def gathered(rows: Sequence[Row]) -> list[Amounts]:
    """The amounts of all samples, by tolerance."""
    every = []
    for limited in LIMITED:
        pairs = [(good, bad) for name, good, bad in rows if name == limited.name]
        amounts = np.array(pairs).reshape(-1, 2)
        every.append(Amounts(limited, amounts[:, 0], amounts[:, 1]))
    return every
