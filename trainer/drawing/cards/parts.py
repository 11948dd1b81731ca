"""What the picture cards are made of: lines, discs and filled shapes in a square of 100 by 100."""

from __future__ import annotations

from dataclasses import dataclass
from math import pi, sin
from typing import TypeAlias

from trainer.drawing import theme
from trainer.drawing.arcs import arc as arc_points

Place: TypeAlias = tuple[float, float]

INK = "#22313A"
SEA = theme.BLUE
RED = theme.VERMILLION
GREEN = theme.GREEN
SKY = "#56B4E9"
SUN = "#E69F00"
WHITE = "#FFFFFF"
TINT = "#E4EFF5"
"""Behind every picture."""


@dataclass(frozen=True)
class Stripe:
    """A line of a picture; one with a single point is a disc of that width."""

    color: str
    width: float
    points: tuple[Place, ...]


def line(color: str, width: float, *points: Place) -> Stripe:
    """A line through some points."""
    return Stripe(color, width, points)


def arc(
    color: str, width: float, x: float, y: float, radius: float, start: float, end: float, squash: float = 1.0
) -> Stripe:
    """A part of a circle, in degrees clockwise from the right; `squash` flattens it."""
    return Stripe(color, width, tuple(arc_points((x, y), radius, start, end, squash)))


def dot(color: str, size: float, x: float, y: float) -> Stripe:
    """A disc, `size` across."""
    return Stripe(color, size, ((x, y),))


def filled(color: str, width: float, *outline: Place) -> list[Stripe]:
    """A shape with round corners: its outline, of that width, filled with level rows that end inside it."""
    ends = list(zip(outline, (*outline[1:], outline[0]), strict=True))
    top, bottom = min(y for _, y in outline), max(y for _, y in outline)
    stripes = [line(color, width, *outline, outline[0])]
    rows = max(1, round((bottom - top) / (width * 0.7)))
    for row in range(1, rows):
        y = top + (bottom - top) * row / rows
        cuts = sorted(
            x0 + (x1 - x0) * (y - y0) / (y1 - y0) for (x0, y0), (x1, y1) in ends if (y0 <= y) != (y1 <= y)
        )
        for x0, x1 in zip(cuts[::2], cuts[1::2], strict=True):
            if x1 - x0 > width / 2:
                stripes.append(line(color, width, (x0 + width / 4, y), (x1 - width / 4, y)))
    return stripes


def edged(color: str, width: float, *outline: Place) -> list[Stripe]:
    """The same with a dark edge, for what is too pale to be seen without."""
    return [*filled(INK, width + 5, *outline), *filled(color, width, *outline)]


def area(color: str, left: float, top: float, right: float, bottom: float, width: float = 8) -> list[Stripe]:
    """A filled box with round corners."""
    edges = (left + width / 2, right - width / 2)
    return taper(color, top + width / 2, bottom - width / 2, edges, edges, width)


def taper(
    color: str, top: float, bottom: float, upper: Place, lower: Place, width: float = 6
) -> list[Stripe]:
    """A filled shape between two level edges, each given as left and right."""
    return filled(color, width, (upper[0], top), (upper[1], top), (lower[1], bottom), (lower[0], bottom))


def ripples(y: float) -> list[Stripe]:
    """A low wave from side to side."""
    wave = tuple((x, y + 2.5 * sin(x / 100 * 6 * pi)) for x in range(14, 87, 3))
    return [Stripe(SEA, 5, wave)]
