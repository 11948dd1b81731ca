"""Judges a trace while the pen moves: whether it began elsewhere than its stroke, or runs the other way.

The ink is sampled at fixed steps of its length, and each sample adds one row to two warping tables: the
trace on the stroke, and on the stroke run backwards, with position and heading as in `samples`. Only the
last row of each is kept, so that a point costs the same however long the trace is. At any time the trace is
held against as much of the stroke as it is long.

The verdict on a finished trace is read off the same rows: `checks.check_trace` sends its points through here.
"""

from __future__ import annotations

from collections.abc import Iterable
from math import hypot

import numpy as np

from strokes.letter import Formation, GuideLines
from strokes.polyline import Floats, Polyline, length, resample
from strokes.report import Finding, Kind
from strokes.samples import HEADING, headed
from strokes.tolerances import Tolerances

STEP = 0.05
"""X-heights of ink from one sample to the next."""

SOON = 0.25
"""X-heights of ink before anything is said: pens hook for less when they come down."""

SURE, MARGIN = 1.2, 0.02
"""At pen-up the taught way must cost so many times the other, and so much more, to call a trace backwards."""

SURE_SOON, MARGIN_SOON = 2.0, 0.1
"""The same while the pen is down. Looser, more is said soon and taken back at pen-up; tighter, it takes
longer. With these 99 in 100 real letters end as they were called."""

SCRIBBLE = 3.0
"""Lengths of the stroke after which no more ink is followed."""


class LiveTrace:
    """One trace in the making, held against stroke `index` of `formation`.

    `guide` are the lines in the trace's space; with `placed`, x = 0 is where the letter's own x = 0 is, as
    when its starts are shown; else the trace may stand anywhere along the line. `said` is the first thing
    to be said of it while the pen is down, and stays.
    """

    def __init__(
        self,
        formation: Formation,
        index: int,
        *,
        guide: GuideLines | None = None,
        placed: bool = True,
        tolerances: Tolerances | None = None,
    ) -> None:
        self.tolerances = tolerances or Tolerances()
        self.index, self.stroke, self.placed = index, formation.strokes[index], placed
        self.transform = (guide or GuideLines()).to_letter_space()
        self.ink = 0.0
        self.said: Finding | None = None
        path = self.stroke.path
        self._count = max(2, round(length(path) / STEP) + 1)
        ways = np.stack([resample(path, self._count), resample(path[::-1], self._count)])
        self._ways = headed(ways)
        if not placed:
            self._ways[..., 0] -= ways[:, :1, 0]  # each way from its own beginning
        self._rows = np.full((2, self._count + 1), np.inf)  # with a border before the first sample
        self._rows[:, 0] = 0.0
        self._sampled, self._due = 0, STEP
        self._first: Polyline | None = None
        self._begin = self._here = (0.0, 0.0)
        self._recent: list[tuple[float, float]] = []

    def add(self, point: Polyline | tuple[float, float]) -> Finding | None:
        """Go on to this point, in the trace's own space; what is `said` by now."""
        place = np.asarray(point, dtype=float)
        x, y = map(float, self.transform.apply(place[None])[0])
        if self._first is None:
            self._first = place
            self._begin = self._here = (x, y)
            self._recent = [(x, y)]
            return None
        self._draw(x, y)
        if self.said is None and self.ink >= SOON:
            self.said = self._found(SURE_SOON, MARGIN_SOON)
        return self.said

    def finish(self) -> Finding | None:
        """The pen is up: the verdict on the whole trace. Stopping short is no fault."""
        if len(self._recent) == 2:  # the last sample has waited for one behind it to tell its heading
            self._sample(self._recent[1], self._recent[0], self._recent[1])
            self._recent.pop(0)
        return self._found(SURE, MARGIN)

    def _draw(self, x: float, y: float) -> None:
        """Put samples along a straight line to here."""
        left, top = self._here
        gap = hypot(x - left, y - top)
        before, self.ink = self.ink, self.ink + gap
        self._here = (x, y)
        while self._due <= self.ink and self._sampled < SCRIBBLE * self._count:
            share = (self._due - before) / gap
            self._place((left + share * (x - left), top + share * (y - top)))
            self._due += STEP

    def _place(self, place: tuple[float, float]) -> None:
        """One sample more: the one before it now has a heading."""
        recent = self._recent
        recent.append(place)
        self._sample(recent[-2], recent[0], place)
        if len(recent) == 3:
            recent.pop(0)

    def _sample(
        self, place: tuple[float, float], before: tuple[float, float], behind: tuple[float, float]
    ) -> None:
        """Add a row to both tables: a running sum, lowered to the best way in from the row before."""
        ahead = (behind[0] - before[0], behind[1] - before[1])
        weight = HEADING / max(hypot(*ahead), 1e-9)
        x = place[0] if self.placed else place[0] - self._begin[0]
        costs = ((self._ways - (x, place[1], weight * ahead[0], weight * ahead[1])) ** 2).sum(axis=2)
        into = np.minimum(self._rows[:, :-1], self._rows[:, 1:])
        along = np.cumsum(costs, axis=1)
        self._rows[:, 1:] = along + np.minimum.accumulate(into - (along - costs), axis=1)
        self._rows[:, 0] = np.inf
        self._sampled += 1

    def _found(self, sure: float, margin: float) -> Finding | None:
        if self._first is None:
            return None
        at = (float(self._first[0]), float(self._first[1]))
        if not self.stroke.is_dot and self.ink > self.tolerances.tiny and self._sampled:
            taught, turned = self._costs()
            if taught > sure * turned + margin:
                return Finding(
                    Kind.DIRECTION, 1, self.tolerances.backwards, self.index, part=(0.0, 1.0), at=at
                )
        left, top = self.stroke.start
        gap = hypot(self._begin[0] - left if self.placed else 0.0, self._begin[1] - top)
        limit = self.tolerances.dot if self.stroke.is_dot else self.tolerances.start
        return Finding(Kind.START, gap, limit, self.index, at=at) if gap > limit else None

    def _costs(self) -> Floats:
        """Warping cost a sample on as much of the stroke as there is ink: as taught, and turned."""
        costs: Floats = self._rows[:, min(self._sampled, self._count)] / self._sampled
        return costs


def follow(live: LiveTrace, points: Iterable[Polyline]) -> Finding | None:
    """The verdict on a whole trace at once."""
    for point in points:
        live.add(point)
    return live.finish()
