"""Judges a trace while the pen moves: whether it began elsewhere than its stroke, or runs backwards.

The ink is sampled at fixed steps of its length, and each sample adds one row to two warping tables: the
trace on the stroke, and on the stroke run backwards, with position and heading as in `matching`. At any time
the trace is held against as much of the stroke as it is long.

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
from strokes.warping import GrowingTable, factors
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
        self._transform = self.guide.to_letter_space()
        self.ink, self.points = 0.0, 0
        self.said: Finding | None = None
        self._table = GrowingTable(_both_directions(self.stroke, placed), models=2)
        self._due = WEIGHTS.live_step
        self._at = self._begin = self._here = (0.0, 0.0)
        self._start: Finding | None = None
        self._new: list[tuple[float, float, float, float]] = []  # samples that are not in the table yet
        self._recent: list[tuple[float, float]] = []

    def add(self, x: float, y: float) -> Finding | None:
        """Go on to this point, in the trace's own space; what is `said` by now."""
        before = len(self._new)
        self.go_on(x, y)
        if self.said is None and len(self._new) > before and self.ink >= WEIGHTS.live_soon:
            self.said = self._direction(WEIGHTS.live_turned_soon, WEIGHTS.live_turned_soon_margin)
        return self.said

    def go_on(self, x: float, y: float) -> None:
        """Go on to this point without a word about it."""
        here = self._transform.at(x, y)
        self.points += 1
        if self.points == 1:
            self._at = (x, y)
            self._begin = self._here = here
            self._recent = [here]
            begun = (here[0] if self.placed else self.stroke.start[0], here[1])
            gap, tolerance = start_gap(begun, self.stroke, guide=self.guide)
            start = Measure(kind=Kind.START, tolerance=tolerance, amount=gap, stroke=self.index, at=self._at)
            self._start = start.finding(self.tolerances)
        else:
            self._draw(*here)

    def finish(self) -> Finding | None:
        """The pen is up: the verdict on the whole trace. Stopping short is no fault."""
        if len(self._recent) == 2:  # the last sample has waited for one behind it to tell its heading
            self._sample(self._recent[1], self._recent[0], self._recent[1])
            self._recent.pop(0)
        return self._direction(WEIGHTS.live_turned, WEIGHTS.live_turned_margin)

    def _draw(self, x: float, y: float) -> None:
        """Put samples along a straight line to here."""
        left, top = self._here
        gap = hypot(x - left, y - top)
        before, self.ink = self.ink, self.ink + gap
        self._here = (x, y)
        while self._due <= self.ink and self._samples < WEIGHTS.live_most * self._table.width:
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
        """A row more for both tables: a place, headed from the sample before to the one behind."""
        along, down = behind[0] - before[0], behind[1] - before[1]
        weight = WEIGHTS.heading / max(hypot(along, down), 1e-9)
        x = place[0] if self.placed else place[0] - self._begin[0]
        self._new.append((x, place[1], weight * along, weight * down))

    @property
    def _samples(self) -> int:
        return self._table.samples + len(self._new)

    def _direction(self, sure: float, margin: float) -> Finding | None:
        if not self.points:
            return None
        if self._new:
            self._table.add(np.array(self._new))
            self._new = []
        if not self.stroke.is_dot and self.ink > self.tolerances.tiny and self._table.samples:
            taught, turned = self._table.costs()
            if taught > sure * turned + margin:
                return Finding(
                    Kind.DIRECTION, 1, self.tolerances.backwards, self.index, part=(0.0, 1.0), at=self._at
                )
        return self._start


@lru_cache(maxsize=512)
def _both_directions(stroke: Stroke, placed: bool) -> Floats:
    """The factors of the stroke's samples, and of the stroke's run backwards.

    If a trace may stand anywhere along the line, each is set on its own beginning.
    """
    path = stroke.path
    count = max(2, round(length(path) / WEIGHTS.live_step) + 1)
    directions = np.stack([resample(path, count), resample(path[::-1], count)])
    if not placed:
        directions[..., 0] -= directions[:, :1, 0]
    return factors(headed(directions))


def follow(live: LiveTrace, trace: Polyline) -> Finding | None:
    """The verdict on a whole trace: the points that `live` does not have yet are added."""
    for x, y in trace[live.points :].tolist():
        live.go_on(x, y)
    return live.finish()
