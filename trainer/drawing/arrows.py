"""Where the pen starts and where it runs: numbered rings and chevrons, placed so that none collide.

All lengths are px; `unit` is one x-height. Chevrons lie inside a stroke. Where the pen comes back over
its own line, chevrons lie beside it, each on the right as the pen runs, so that both directions can be read.
"""

from __future__ import annotations

from dataclasses import dataclass
from itertools import pairwise
from math import cos, hypot, pi, sin

import numpy as np

from strokes.polyline import Polyline, arc_lengths, corners, points_at, tangents
from strokes.weights import WEIGHTS
from trainer.drawing import theme
from trainer.drawing.coverage import Point
from trainer.drawing.rect import Rect
from trainer.drawing.surface import Drawing

RING = 0.17
"""Radius of a start ring, in x-heights."""

SPACING = 0.75
"""X-heights of stroke for one chevron."""

_STEP = 0.03  # x-heights between the points at which a stroke is looked at


@dataclass(frozen=True)
class Ring:
    """A numbered ring; `start` is where the pen comes down, which may lie beside it."""

    number: int
    center: Point
    radius: float
    start: Point
    color: str = theme.VERMILLION

    @property
    def box(self) -> Rect:
        """All that is drawn of it."""
        (x, y), (far_x, far_y), reach = self.center, self.start, self.radius
        left, top = min(x - reach, far_x), min(y - reach, far_y)
        return Rect(left, top, max(x + reach, far_x) - left, max(y + reach, far_y) - top).inset(-reach / 7)

    def holds(self, point: Point) -> bool:
        """Whether a point lies in it."""
        return _apart(self.center, point) <= self.radius

    def draw(self, canvas: Drawing) -> None:
        """The number in its ring, with a line to the start where that is not right beside it."""
        if _apart(self.center, self.start) > 2.3 * self.radius:
            canvas.line([self.center, self.start], max(1.0, self.radius / 7), self.color)
        canvas.disc(self.center, self.radius, theme.PAPER)
        canvas.ring(self.center, self.radius * 0.9, self.radius * 0.2, self.color)
        size = self.radius * 1.45
        # Figures stand a little below the middle of their line.
        middle = (self.center[0], self.center[1] - 0.04 * size)
        canvas.text(str(self.number), middle, size, theme.BLACK, bold=True, wrap=False)


@dataclass(frozen=True)
class Chevron:
    """An open arrowhead at `at`, pointing along `heading` (a unit vector); `beside` the stroke or in it."""

    at: Point
    heading: Point
    size: float
    beside: bool

    @property
    def width(self) -> float:
        """The width of its line."""
        return self.size * 0.5

    @property
    def line(self) -> list[Point]:
        """Its two arms, from the end of one to the tip to the end of the other."""
        (x, y), (along, across) = self.at, self.heading
        back, out = self.size * 0.5, self.size * 0.85
        return [
            (x - back * along - out * across, y - back * across + out * along),
            (x + back * along, y + back * across),
            (x - back * along + out * across, y - back * across - out * along),
        ]

    def color(self, stroke_color: str, beside: str = theme.VERMILLION) -> str:
        """In the stroke it is light on dark or dark on light; `beside` it, it has the color of starts."""
        inside = max((theme.PAPER, theme.BLACK), key=lambda color: theme.contrast(color, stroke_color))
        return beside if self.beside else inside

    def draw(self, canvas: Drawing, stroke_color: str) -> None:
        """The arrowhead for a stroke of this color."""
        canvas.line(self.line, self.width, self.color(stroke_color))


def start_rings(lines: list[Polyline], dots: list[bool], width: float, unit: float) -> list[Ring]:
    """A ring for each stroke: on its start, or beside it where that would hide a dot or another ring."""
    radius = max(RING * unit, 0.8 * width)
    ink = np.vstack([_looked_at(line, unit)[0] for line in lines])
    rings: list[Ring] = []
    for number, (line, dot) in enumerate(zip(lines, dots, strict=True), start=1):
        start = (float(line[0, 0]), float(line[0, 1]))
        taken = [ring.center for ring in rings]
        center = start
        if dot or any(_apart(start, other) < 2.1 * radius for other in taken):
            center = _beside(start, radius, width, ink, taken)
        rings.append(Ring(number, center, radius, start))
    return rings


def _beside(start: Point, radius: float, width: float, ink: Polyline, taken: list[Point]) -> Point:
    """The nearest free place around `start`; the right side first, then as the clock runs."""
    best, best_cost = start, float("inf")
    for away in (radius + 0.9 * width, 1.7 * radius + width, 2.6 * radius + width):
        for turn in range(16):
            angle = turn * pi / 8
            place = (start[0] + away * cos(angle), start[1] + away * sin(angle))
            clear = float(np.hypot(*(ink - place).T).min()) - width / 2 - radius
            ring_clear = min((_apart(place, other) - 2 * radius for other in taken), default=radius)
            cost = max(0.0, 0.1 * radius - ring_clear) * 10 + max(0.0, -clear) * 4 + away + turn * 0.01
            if cost < best_cost:
                best, best_cost = place, cost
    return best


def chevrons(lines: list[Polyline], width: float, unit: float, rings: list[Ring]) -> list[Chevron]:
    """The chevrons of a formation: at least one on each straight or curved part that has room for it."""
    looked = [_looked_at(line, unit) for line in lines]
    chosen: list[Chevron] = []
    for index, line in enumerate(lines):
        total = float(arc_lengths(line)[-1])
        if total < 0.35 * unit:
            continue
        stops = [0.0, *(float(stop) for stop in corners(line, reach=WEIGHTS.corner_reach * unit)), total]
        for start, end in pairwise(stops):
            count = max(1, round((end - start) / (SPACING * unit)))
            slot = (end - start) / count
            if end - start < 0.3 * unit:
                continue
            for number in range(count):
                middle = start + slot * (number + 0.5)
                chevron = _best(looked, index, middle, slot, width, rings, chosen)
                if chevron is not None:
                    chosen.append(chevron)
    return chosen


def _best(
    looked: list[tuple[Polyline, Polyline, Polyline]],
    index: int,
    middle: float,
    slot: float,
    width: float,
    rings: list[Ring],
    others: list[Chevron],
) -> Chevron | None:
    """The clearest chevron within its slot of the stroke, or None where all places are taken."""
    points, headings, along = looked[index]
    size = 0.38 * width
    reach = 0.5 * width + 1.5 * size
    best: tuple[float, Chevron] | None = None
    for share in (0.0, -0.1, 0.1, -0.2, 0.2, -0.3, 0.3):
        stop = middle + share * slot
        nearest = int(np.abs(along[:, 0] - stop).argmin())
        at, heading = points[nearest], headings[nearest]
        beside, crowded = _company(looked, index, nearest, width)
        place = (float(at[0]), float(at[1]))
        if beside:
            place = (place[0] - reach * float(heading[1]), place[1] + reach * float(heading[0]))
        gaps = [_apart(place, ring.center) - ring.radius - 1.2 * size for ring in rings]
        gaps += [_apart(place, other.at) - 2.4 * size for other in others]
        if min(gaps, default=1.0) < 0:
            continue
        cost = abs(share) + (1.0 if crowded else 0.0)
        if beside:  # as far from other ink as can be had
            clear = min(float(np.hypot(*(line[0] - place).T).min()) for line in looked)
            cost += 4 * max(0.0, 1 - clear / reach)
        if best is None or cost < best[0]:
            direction = (float(heading[0]), float(heading[1]))
            best = cost, Chevron(place, direction, size, beside)
    return best[1] if best is not None else None


def _company(
    looked: list[tuple[Polyline, Polyline, Polyline]], index: int, at: int, width: float
) -> tuple[bool, bool]:
    """Whether the pen comes by here again: on the same line in either direction, and across it."""
    points, headings, along = looked[index]
    same = crossing = False
    for other, (line, directions, stops) in enumerate(looked):
        near = np.hypot(*(line - points[at]).T) < 0.75 * width
        if other == index:
            near &= np.abs(stops[:, 0] - along[at, 0]) > 1.5 * width
        if near.any():
            agree = np.abs(directions[near] @ headings[at])
            same |= bool((agree > 0.85).any())
            crossing |= bool((agree <= 0.85).any())
    return same, crossing


def _looked_at(line: Polyline, unit: float) -> tuple[Polyline, Polyline, Polyline]:
    """Evenly spaced points of a stroke, the headings there, and how far along they are (n, 1)."""
    along = arc_lengths(line)
    count = max(2, int(np.ceil(along[-1] / (_STEP * unit))) + 1)
    stops = np.linspace(0.0, along[-1], count)
    points = points_at(line, along, stops)
    return points, tangents(points), stops[:, None]


def _apart(point: Point, other: Point) -> float:
    return hypot(point[0] - other[0], point[1] - other[1])
