"""What a trace does, by plain geometry: where it begins, how it swings up and down, which way it turns.

Nothing here knows the checks or the letters' files: it is the outside against which both are held.
Ink has no guide lines here, so its x-height is estimated from its height and the letter's class: half the
height for letters with an ascender or a descender, two thirds for t, the whole for the others. The dot of i
and j is left out of the height.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property
from typing import TypeAlias

import numpy as np

from strokes.polyline import Floats, Polyline, length, resample, signed_area

Traces: TypeAlias = tuple[Polyline, ...]
"""The traces of one piece of ink, in their order."""

TALL: dict[str, tuple[float, float]] = {
    **dict.fromkeys("bdfhkl", (2.0, 0.0)),
    **dict.fromkeys("gjpqy", (1.0, 1.0)),
    "t": (1.5, 0.0),
}
"""The letters that reach further above or below the base line than an x-height."""

SWING = 0.2
"""A movement up or down that is smaller than this, in x-heights, is a waver and no swing."""

LEAD = 0.35
"""A rise at the start up to this is a lead-in: the distance within which a start counts as in its zone."""

POINTS = 64


@dataclass(frozen=True, eq=False)
class Way:
    """One trace in x-heights, at equal distances along it."""

    line: Polyline

    @cached_property
    def turns(self) -> tuple[int, ...]:
        """Indices of the start, of each high and low point, and of the end."""
        return pivots(self.line[:, 1], SWING)

    @cached_property
    def word(self) -> str:
        """The swings in order, D for down and U for up, without a short lead-in up."""
        return _word(self.line[:, 1], self._led, "DU")

    @cached_property
    def at(self) -> Polyline:
        """The points between the swings of `word`: one more than its letters."""
        return self.line[list(self._led)]

    def sideways(self, least: float = SWING) -> str:
        """The swings of at least this width from side to side, R for right and L for left."""
        return _word(self.line[:, 0], pivots(self.line[:, 0], least), "RL", least)

    @cached_property
    def _led(self) -> tuple[int, ...]:
        y = self.line[:, 1]
        if len(self.turns) > 2 and 0 < y[self.turns[0]] - y[self.turns[1]] <= LEAD:
            return self.turns[1:]
        return self.turns

    def swing(self, index: int) -> Polyline:
        """The piece of the trace that is this letter of `word`."""
        return self.line[self._led[index] : self._led[index + 1] + 1]

    def until(self, index: int) -> Polyline:
        """The piece from the start to point `index` of `at`."""
        return self.line[: self._led[index] + 1]

    def after(self, index: int) -> Polyline:
        """The piece from point `index` of `at` to the end."""
        return self.line[self._led[index] :]

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


def pivots(values: Floats, reach: float) -> tuple[int, ...]:
    """Where `values` turn by at least `reach`, with the place they came from first and the last turn last.

    A level run has a first and a last index only.
    """
    low = high = last = 0
    rising = 0
    found: list[int] = []
    for index, value in enumerate(values.tolist()):
        if rising == 0:
            low = index if value < values[low] else low
            high = index if value > values[high] else high
            if value - values[low] >= reach or values[high] - value >= reach:
                rising = 1 if value - values[low] >= reach else -1
                found, last = [low if rising > 0 else high], index
        elif (value - values[last]) * rising >= 0:
            last = index
        elif abs(value - values[last]) >= reach:
            found.append(last)
            rising, last = -rising, index
    return (*found, last) if rising else (0, len(values) - 1)


def _word(values: Floats, turns: Sequence[int], names: str, least: float = SWING) -> str:
    """A letter for each swing: the first name for rising values, the second for falling ones."""
    steps = np.diff(values[list(turns)])
    return "".join(names[0] if step > 0 else names[1] for step in steps) if abs(steps).max() >= least else ""


@dataclass(frozen=True, eq=False)
class Drawn:
    """A letter's ink in x-heights: the base line is y = 0, the left edge x = 0; marks too small left out."""

    letter: str
    ways: tuple[Way, ...]
    dots: tuple[bool, ...]

    @property
    def top(self) -> float:
        """Where the letter should reach up to."""
        return -reach(self.letter)[0]

    @property
    def bottom(self) -> float:
        """Where the letter should reach down to."""
        return reach(self.letter)[1]


SLIP = 0.08
"""A mark shorter than this is a slip of the hand: trade facts, section 3; but dots are due on i and j."""

DOT = 0.35
"""A mark smaller than this is a dot: the same section."""


def reach(letter: str) -> tuple[float, float]:
    """How far a letter reaches above and below the base line, in x-heights."""
    return TALL.get(letter, (1.0, 0.0))


def x_height(letter: str, traces: Sequence[Polyline]) -> float:
    """The x-height of this ink, estimated from its height; 1 for ink without any extent."""
    body = body_of(letter, traces)
    every = np.vstack([traces[index] for index in body])
    tall = sum(reach(letter))
    size = float(np.ptp(every[:, 1])) or float(np.ptp(every[:, 0]))
    return size / tall if size > 0 else 1.0


def drawn(letter: str, traces: Sequence[Polyline]) -> Drawn:
    """The ink in x-heights, by the estimate of `x_height`."""
    unit = x_height(letter, traces)
    every = np.vstack([traces[index] for index in body_of(letter, traces)])
    base = float(every[:, 1].max()) - reach(letter)[1] * unit
    left = float(np.vstack(traces)[:, 0].min())
    lines = [(trace - (left, base)) / unit for trace in traces]
    ways = [Way(resample(line, POINTS)) for line in lines if letter in "ij" or length(line) > SLIP]
    return Drawn(letter, tuple(ways), tuple(max(way.width, way.height) < DOT for way in ways))


def body_of(letter: str, traces: Sequence[Polyline]) -> list[int]:
    """All traces, or for i and j the longest: the others are dots above it."""
    if letter not in "ij":
        return list(range(len(traces)))
    return [int(np.argmax([length(trace) for trace in traces]))]


def turns_left(line: Polyline) -> float:
    """How much of its box the closed line encloses anticlockwise as seen: -1 to 1, a circle has 0.79."""
    box = np.ptp(line, axis=0)
    size = float(box[0] * box[1])
    return -signed_area(line) / size if size > 1e-12 else 0.0
