"""The shape of traces by plain geometry: where they begin, how they go up and down, which way they turn.

Nothing here knows the checks or the letters' files, so that both can be compared with it.
Ink has no guide lines here, so its x-height is estimated from its height and the letter's class: half the
height for capitals, digits and letters with an ascender or a descender, two thirds for t, the whole for the
others. The dot of i and j is left out of the height.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property
from string import ascii_uppercase, digits
from typing import TypeAlias

import numpy as np

from strokes.letter import GuideLines
from strokes.polyline import Floats, Polyline, length, resample, signed_area

Traces: TypeAlias = tuple[Polyline, ...]
"""The traces of one piece of ink, in their order."""

TALL: dict[str, tuple[float, float]] = {
    **dict.fromkeys("bdfhkl", (2.0, 0.0)),
    **dict.fromkeys("gjpqy", (1.0, 1.0)),
    "t": (1.5, 0.0),
    **dict.fromkeys(ascii_uppercase + digits, (2.0, 0.0)),
}
"""The letters that reach further above or below the base line than an x-height."""

SEGMENT = 0.2
"""A movement up or down that is smaller than this, in x-heights, is tremor and no segment of its own."""

START_ZONE = 0.35
"""A start counts as in its place within this distance, in x-heights; a first rise up to it is a lead-in."""

POINTS = 64
"""Points to which every trace is resampled."""


@dataclass(frozen=True, eq=False)
class TraceShape:
    """One trace in x-heights; from `letter_shape`, with its points at equal distances along it.

    A segment is a run up or down between two extrema of y that are at least SEGMENT apart.
    """

    line: Polyline

    @cached_property
    def turns(self) -> tuple[int, ...]:
        """Indices of the start, of each high and low point, and of the end."""
        return turning_points(self.line[:, 1], SEGMENT)

    @cached_property
    def directions(self) -> str:
        """The segments in order, D for down and U for up, without a short lead-in; empty for a level line."""
        return _directions(self.line[:, 1], self._ends, "DU")

    @cached_property
    def extrema(self) -> Polyline:
        """The ends of the segments in `directions`: at least two, and one more than there are segments."""
        return self.line[list(self._ends)]

    def sideways(self, least: float = SEGMENT) -> str:
        """The runs of at least this width from side to side, R for right and L for left."""
        return _directions(self.line[:, 0], turning_points(self.line[:, 0], least), "RL", least)

    @cached_property
    def _ends(self) -> tuple[int, ...]:
        y = self.line[:, 1]
        if len(self.turns) > 2 and 0 < y[self.turns[0]] - y[self.turns[1]] <= START_ZONE:
            return self.turns[1:]
        return self.turns

    def segment(self, index: int) -> Polyline:
        """The piece of the trace that is this letter of `directions`."""
        return self.line[self._ends[index] : self._ends[index + 1] + 1]

    def before(self, index: int) -> Polyline:
        """The piece from the start to extremum `index`."""
        return self.line[: self._ends[index] + 1]

    def after(self, index: int) -> Polyline:
        """The piece from extremum `index` to the end."""
        return self.line[self._ends[index] :]

    @property
    def start(self) -> Polyline:
        """Where the pen came down."""
        point: Polyline = self.line[0]
        return point

    @property
    def end(self) -> Polyline:
        """Where it was lifted."""
        point: Polyline = self.line[-1]
        return point

    @cached_property
    def low(self) -> Polyline:
        """The left and upper edge of its box."""
        corner: Polyline = self.line.min(axis=0)
        return corner

    @cached_property
    def high(self) -> Polyline:
        """The right and lower edge of its box."""
        corner: Polyline = self.line.max(axis=0)
        return corner

    @property
    def width(self) -> float:
        """How wide its box is."""
        return float(self.high[0] - self.low[0])

    @property
    def height(self) -> float:
        """How tall its box is."""
        return float(self.high[1] - self.low[1])

    @property
    def middle(self) -> Polyline:
        """The middle of its box."""
        return (self.low + self.high) / 2

    @cached_property
    def length(self) -> float:
        """How far the pen went."""
        return length(self.line)


def turning_points(values: Floats, reach: float) -> tuple[int, ...]:
    """Where `values` turn by at least `reach`, with the place they came from first and the last turn last.

    A level run has a first and a last index only.
    """
    low = high = last = 0
    rising = 0
    turns: list[int] = []
    for index, value in enumerate(values.tolist()):
        if rising == 0:
            low = index if value < values[low] else low
            high = index if value > values[high] else high
            if value - values[low] >= reach or values[high] - value >= reach:
                rising = 1 if value - values[low] >= reach else -1
                turns, last = [low if rising > 0 else high], index
        elif (value - values[last]) * rising >= 0:
            last = index
        elif abs(value - values[last]) >= reach:
            turns.append(last)
            rising, last = -rising, index
    return (*turns, last) if rising else (0, len(values) - 1)


def _directions(values: Floats, turns: Sequence[int], names: str, least: float = SEGMENT) -> str:
    """A letter for each run: the first name for rising values, the second for falling ones."""
    steps = np.diff(values[list(turns)])
    return "".join(names[0] if step > 0 else names[1] for step in steps) if abs(steps).max() >= least else ""


@dataclass(frozen=True, eq=False)
class LetterShape:
    """A letter's ink in x-heights: the base line is y = 0, the left edge x = 0; marks too small left out."""

    letter: str
    traces: tuple[TraceShape, ...]

    @property
    def top(self) -> float:
        """Where the letter should reach up to."""
        return -reach(self.letter)[0]

    @property
    def bottom(self) -> float:
        """Where the letter should reach down to."""
        return reach(self.letter)[1]


SLIP = 0.08
"""A mark shorter than this, in x-heights, is a slip of the hand, but not on i and j: our choice, no norm."""

DOT = 0.35
"""A mark smaller than this, in x-heights, is a dot: our choice, no norm."""


def reach(letter: str) -> tuple[float, float]:
    """How far a letter reaches above and below the base line, in x-heights."""
    return TALL.get(letter, (1.0, 0.0))


def x_height(letter: str, traces: Sequence[Polyline]) -> float:
    """The x-height of this ink, estimated from its height; 1 for ink without any extent."""
    body = np.vstack([traces[index] for index in body_of(letter, traces)])
    size = float(np.ptp(body[:, 1])) or float(np.ptp(body[:, 0]))
    return size / sum(reach(letter)) if size > 0 else 1.0


def letter_shape(letter: str, traces: Sequence[Polyline], guide: GuideLines | None = None) -> LetterShape:
    """The ink in x-heights, by the estimate of `x_height` or, where there are lines, by these."""
    if guide is None:
        unit = x_height(letter, traces)
        body = np.vstack([traces[index] for index in body_of(letter, traces)])
        base = float(body[:, 1].max()) - reach(letter)[1] * unit
    else:
        unit, base = guide.unit, guide.baseline
    left = float(np.vstack(traces)[:, 0].min())
    lines = [(trace - (left, base)) / unit for trace in traces]
    marks = [TraceShape(resample(line, POINTS)) for line in lines if not _slip(letter, line)]
    return LetterShape(letter, tuple(marks))


def without_slips(letter: str, traces: Sequence[Polyline]) -> Traces:
    """The traces of a letter without marks that are too small to be one."""
    unit = x_height(letter, traces)
    return tuple(trace for trace in traces if not _slip(letter, trace / unit))


def _slip(letter: str, line: Polyline) -> bool:
    return letter not in "ij" and length(line) <= SLIP


def body_of(letter: str, traces: Sequence[Polyline]) -> list[int]:
    """All traces, or for i and j the longest: the others are dots above it."""
    if letter not in "ij":
        return list(range(len(traces)))
    return [int(np.argmax([length(trace) for trace in traces]))]


def anticlockwise(line: Polyline) -> float:
    """How much of its box the closed line encloses anticlockwise as seen: -1 to 1, a circle has 0.79."""
    box = np.ptp(line, axis=0)
    size = float(box[0] * box[1])
    return -signed_area(line) / size if size > 1e-12 else 0.0
