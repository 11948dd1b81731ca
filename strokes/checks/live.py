"""Judges a trace while the pen moves: whether it began elsewhere than its stroke, or runs the other way.

The ink is sampled at fixed steps of its length, and each sample adds one row to two warping tables: the
trace on the stroke, and on the stroke run backwards, with position and heading as in `samples`. Only the
last row of each is kept, so that a point costs the same however long the trace is. At any time the trace is
held against as much of the stroke as it is long.

The verdict on a finished trace is read off the same rows (`follow`). A trace that stops short is judged on as
much of the stroke as it is long, and its shape is not judged.
"""

from __future__ import annotations

from functools import lru_cache
from math import hypot

import numpy as np

from strokes.checks.measures import Measure
from strokes.checks.starts import start_gap
from strokes.kinds import Kind
from strokes.letter import Formation, GuideLines, Stroke
from strokes.matching import headed
from strokes.polyline import Floats, Polyline, length, resample
from strokes.report import Finding
from strokes.tolerances import Tolerances
from strokes.weights import WEIGHTS


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
        self.guide = guide or GuideLines()
        self.transform = self.guide.to_letter_space()
        self.ink, self.points = 0.0, 0
        self.said: Finding | None = None
        self._ways = _both_ways(self.stroke, placed)
        self._count = count = len(self._ways) // 2
        rows = np.full((2, count + 1), np.inf)  # with a border before the first sample
        rows[:, 0] = 0.0
        self._diagonal, self._row = rows[:, :-1], rows[:, 1:]
        self._into, self._sums = np.empty((2, count)), np.zeros((2, count + 1))
        self._sampled, self._due = 0, WEIGHTS.live_step
        self._at = self._begin = self._here = (0.0, 0.0)
        self._start: Finding | None = None
        self._recent: list[tuple[float, float]] = []

    def add(self, x: float, y: float) -> Finding | None:
        """Go on to this point, in the trace's own space; what is `said` by now."""
        way = self.transform
        here = (x * way.scale_x + way.shift_x, y * way.scale_y + way.shift_y)
        self.points += 1
        if self.points == 1:
            self._at = (x, y)
            self._begin = self._here = here
            self._recent = [here]
            begun = (here[0] if self.placed else self.stroke.start[0], here[1])
            gap, tolerance = start_gap(begun, self.stroke, guide=self.guide)
            start = Measure(kind=Kind.START, tolerance=tolerance, amount=gap, stroke=self.index, at=self._at)
            self._start = start.finding(self.tolerances)
            return None
        before = self._sampled
        self._draw(*here)
        if self.said is None and self._sampled > before and self.ink >= WEIGHTS.live_soon:
            self.said = self._found(WEIGHTS.live_turned_soon, WEIGHTS.live_turned_soon_margin)
        return self.said

    def finish(self) -> Finding | None:
        """The pen is up: the verdict on the whole trace. Stopping short is no fault."""
        if len(self._recent) == 2:  # the last sample has waited for one behind it to tell its heading
            self._sample(self._recent[1], self._recent[0], self._recent[1])
            self._recent.pop(0)
        return self._found(WEIGHTS.live_turned, WEIGHTS.live_turned_margin)

    def _draw(self, x: float, y: float) -> None:
        """Put samples along a straight line to here."""
        left, top = self._here
        gap = hypot(x - left, y - top)
        before, self.ink = self.ink, self.ink + gap
        self._here = (x, y)
        while self._due <= self.ink and self._sampled < WEIGHTS.live_most * self._count:
            share = (self._due - before) / gap
            self._place((left + share * (x - left), top + share * (y - top)))
            self._due += WEIGHTS.live_step

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
        along, down = behind[0] - before[0], behind[1] - before[1]
        weight = WEIGHTS.heading / max(hypot(along, down), 1e-9)
        x = place[0] if self.placed else place[0] - self._begin[0]
        y, u, v = place[1], weight * along, weight * down
        here = np.array((x, y, u, v, 1.0, x * x + y * y + u * u + v * v))
        costs = (self._ways @ here).reshape(2, -1)
        np.minimum(self._diagonal, self._row, out=self._into)
        np.add.accumulate(costs, axis=1, out=self._sums[:, 1:])
        self._into -= self._sums[:, :-1]
        np.minimum.accumulate(self._into, axis=1, out=self._row)
        self._row += self._sums[:, 1:]
        self._diagonal[:, 0] = np.inf
        self._sampled += 1

    def _found(self, sure: float, margin: float) -> Finding | None:
        if not self.points:
            return None
        if not self.stroke.is_dot and self.ink > self.tolerances.tiny and self._sampled:
            last = min(self._sampled, self._count) - 1
            taught, turned = self._row[0, last] / self._sampled, self._row[1, last] / self._sampled
            if taught > sure * turned + margin:
                return Finding(
                    Kind.DIRECTION, 1, self.tolerances.backwards, self.index, part=(0.0, 1.0), at=self._at
                )
        return self._start


@lru_cache(maxsize=512)
def _both_ways(stroke: Stroke, placed: bool) -> Floats:
    """Samples of the stroke, and of the stroke run backwards behind them: (2 n, 6).

    A row times (sample, 1, square of the sample) is the squared distance between the two. If a trace may
    stand anywhere along the line, each way is set on its own beginning.
    """
    path = stroke.path
    count = max(2, round(length(path) / WEIGHTS.live_step) + 1)
    ways = np.stack([resample(path, count), resample(path[::-1], count)])
    if not placed:
        ways[..., 0] -= ways[:, :1, 0]
    found = headed(ways).reshape(-1, 4)
    return np.column_stack([-2.0 * found, (found**2).sum(axis=1), np.ones(len(found))])


def follow(live: LiveTrace, trace: Polyline) -> Finding | None:
    """The verdict on a whole trace: the points that `live` does not have yet are added."""
    for x, y in trace[live.points :].tolist():
        live.add(x, y)
    return live.finish()
