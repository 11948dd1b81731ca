"""The picture cards: things of a small harbor, each a few lines and discs in a square of 100 by 100."""

from __future__ import annotations

from dataclasses import dataclass
from math import cos, pi, sin
from typing import TYPE_CHECKING, TypeAlias

from trainer import theme
from trainer.events import Rect
from trainer.scenes.buttons import arc

if TYPE_CHECKING:
    from trainer.drawing import Drawing

Line: TypeAlias = list[tuple[float, float]]

INK = "#22313A"
SEA = theme.BLUE
RED = theme.VERMILLION
GREEN = theme.GREEN
SKY = "#56B4E9"
SUN = "#E69F00"
WHITE = "#FFFFFF"
TINTS = ("#E4EFF5", "#FAEEDB")
"""Behind the pictures: the second half of the cards shows the same things on the other tint."""


@dataclass(frozen=True)
class Stripe:
    """A line of a picture; one with a single point is a disc of that width."""

    color: str
    width: float
    points: tuple[tuple[float, float], ...]


def _line(color: str, width: float, *points: tuple[float, float]) -> Stripe:
    return Stripe(color, width, points)


def _arc(
    color: str, width: float, x: float, y: float, radius: float, start: float, end: float, squash: float = 1.0
) -> Stripe:
    return Stripe(color, width, tuple(arc((x, y), radius, start, end, squash)))


def _dot(color: str, size: float, x: float, y: float) -> Stripe:
    return Stripe(color, size, ((x, y),))


def _area(color: str, left: float, top: float, right: float, bottom: float, width: float = 8) -> list[Stripe]:
    """A filled box with round corners."""
    edges = (left + width / 2, right - width / 2)
    return _taper(color, top + width / 2, bottom - width / 2, edges, edges, width)


def _taper(
    color: str,
    top: float,
    bottom: float,
    upper: tuple[float, float],
    lower: tuple[float, float],
    width: float = 6,
) -> list[Stripe]:
    """A filled shape between two level edges, each given as left and right: an outline filled with rows."""
    corners = ((upper[0], top), (upper[1], top), (lower[1], bottom), (lower[0], bottom), (upper[0], top))
    rows = [Stripe(color, width, corners)]
    steps = max(1, round((bottom - top) / (width * 0.7)))
    for step in range(1, steps):
        share = step / steps
        left = upper[0] + (lower[0] - upper[0]) * share
        right = upper[1] + (lower[1] - upper[1]) * share
        rows.append(
            _line(color, width, (left, top + (bottom - top) * share), (right, top + (bottom - top) * share))
        )
    return rows


def _ripples(y: float) -> list[Stripe]:
    wave = tuple((x, y + 2.5 * sin(x / 100 * 6 * pi)) for x in range(14, 87, 3))
    return [Stripe(SEA, 5, wave)]


def _boat() -> list[Stripe]:
    return [
        *_taper(WHITE, 20, 54, (52, 53), (52, 78)),
        *_taper(RED, 30, 54, (41, 42), (26, 42)),
        _line(INK, 4, (47, 14), (47, 62)),
        *_taper(INK, 64, 76, (20, 82), (30, 72)),
        *_ripples(86),
    ]


def _buoy() -> list[Stripe]:
    return [
        _line(INK, 4, (50, 14), (50, 30)),
        _dot(SUN, 12, 50, 14),
        *_taper(RED, 32, 72, (44, 56), (30, 70)),
        *_taper(WHITE, 47, 56, (39, 61), (36, 64)),
        _line(INK, 9, (22, 76), (78, 76)),
        *_ripples(87),
    ]


def _anchor() -> list[Stripe]:
    return [
        _arc(INK, 7, 50, 20, 9, 0, 360),
        _line(INK, 8, (50, 30), (50, 86)),
        _line(INK, 8, (32, 40), (68, 40)),
        _arc(INK, 8, 50, 52, 34, 15, 165),
        _line(INK, 7, (13, 70), (17, 58), (28, 66)),
        _line(INK, 7, (87, 70), (83, 58), (72, 66)),
    ]


def _lighthouse() -> list[Stripe]:
    return [
        *_taper(WHITE, 34, 82, (42, 58), (34, 66)),
        *_taper(RED, 44, 54, (41, 59), (39, 61)),
        *_taper(RED, 66, 76, (37, 63), (35, 65)),
        *_area(INK, 38, 16, 62, 24),
        *_area(SUN, 42, 20, 58, 34),
        _line(INK, 5, (36, 35), (64, 35)),
        _line(SUN, 4, (70, 24), (86, 19)),
        _line(SUN, 4, (70, 31), (86, 35)),
        _line(INK, 8, (22, 87), (78, 87)),
    ]


def _rope_ring() -> list[Stripe]:
    bands = [_arc(RED, 17, 50, 50, 29, start, start + 40) for start in (25, 115, 205, 295)]
    return [
        _arc(WHITE, 18, 50, 50, 29, 0, 360),
        *bands,
        _arc(INK, 3, 50, 50, 40, 0, 360),
        _arc(INK, 3, 50, 50, 18, 0, 360),
    ]


def _shell() -> list[Stripe]:
    ribs = [
        _line(INK, 3, (50, 80), (50 + 34 * cos(a), 66 + 44 * sin(a)))
        for a in (-2.6, -2.1, -1.57, -1.04, -0.54)
    ]
    fan = [
        _line(SUN, 14, (50, 74), (50 + 30 * cos(a / 10), 64 + 36 * sin(a / 10))) for a in range(-29, -1, 2)
    ]
    return [*fan, *ribs, _line(INK, 8, (42, 83), (58, 83))]


def _flag() -> list[Stripe]:
    return [
        *_area(SEA, 28, 18, 80, 54),
        *_area(WHITE, 28, 32, 80, 40),
        _line(INK, 6, (28, 12), (28, 88)),
        _line(INK, 6, (16, 88), (40, 88)),
    ]


def _waves() -> list[Stripe]:
    rows = []
    for color, y in ((SKY, 32), (SEA, 52), (INK, 72)):
        rows.append(Stripe(color, 8, tuple((x, y + 7 * sin(x / 100 * 5 * pi)) for x in range(12, 89, 3))))
    return rows


def _sea_star() -> list[Stripe]:
    arms = [(50 + 36 * cos(a), 52 + 36 * sin(a)) for a in (-pi / 2 + k * 2 * pi / 5 for k in range(5))]
    dots = [_dot(WHITE, 5, 50 + r * (x - 50) / 36, 52 + r * (y - 52) / 36) for x, y in arms for r in (13, 25)]
    return [*(_line(RED, 17, (50, 52), arm) for arm in arms), *dots, _dot(WHITE, 5, 50, 52)]


def _lantern() -> list[Stripe]:
    return [
        _arc(INK, 5, 50, 26, 14, 180, 360),
        *_area(INK, 34, 26, 66, 34),
        *_area(SUN, 36, 36, 64, 74),
        *_taper(WHITE, 50, 64, (50, 50), (47, 53)),
        *(_line(INK, 4, (x, 36), (x, 74)) for x in (36, 64)),
        *_area(INK, 30, 74, 70, 84),
    ]


def _crate() -> list[Stripe]:
    slats = [_line(INK, 3, (20, y), (80, y)) for y in (42, 58)]
    return [
        *_area(SUN, 18, 26, 82, 82),
        *slats,
        _line(INK, 5, (20, 28), (80, 28), (80, 80), (20, 80), (20, 28)),
        _line(INK, 5, (24, 76), (76, 32)),
    ]


def _net() -> list[Stripe]:
    down = [_line(INK, 3, (x, 26), (50 + (x - 50) * 0.45, 80)) for x in (22, 36, 50, 64, 78)]
    level = [_arc(INK, 3, 50, y, half, 10, 170, 0.35) for y, half in ((38, 26), (52, 21), (66, 16))]
    return [_arc(GREEN, 7, 50, 24, 30, 0, 360, 0.25), *down, *level, _dot(RED, 11, 50, 83)]


def _bell() -> list[Stripe]:
    return [
        _line(INK, 5, (30, 14), (70, 14)),
        _line(INK, 5, (50, 14), (50, 26)),
        *_taper(SUN, 30, 66, (44, 56), (34, 66)),
        *_taper(SUN, 66, 72, (32, 68), (26, 74)),
        _line(INK, 4, (26, 75), (74, 75)),
        _dot(INK, 12, 50, 84),
    ]


def _pier() -> list[Stripe]:
    posts = [_line(INK, 7, (x, 36), (x, 78)) for x in (24, 50, 76)]
    return [
        *posts,
        *_area(SUN, 12, 38, 88, 48),
        *(_line(SUN, 7, (x, 28), (x, 40)) for x in (24, 76)),
        _arc(INK, 3, 50, 28, 26, 0, 180, 0.3),
        *_ripples(74),
        *_ripples(86),
    ]


def _oars() -> list[Stripe]:
    return [
        _line(SUN, 6, (24, 84), (66, 32)),
        _line(SUN, 6, (76, 84), (34, 32)),
        _line(SEA, 14, (68, 30), (78, 17)),
        _line(RED, 14, (32, 30), (22, 17)),
        _line(INK, 7, (22, 86), (28, 79)),
        _line(INK, 7, (78, 86), (72, 79)),
    ]


def _sun() -> list[Stripe]:
    rays = [
        _line(SUN, 5, (50 + 33 * cos(a), 50 + 33 * sin(a)), (50 + 41 * cos(a), 50 + 41 * sin(a)))
        for a in (-pi + k * pi / 6 for k in range(7))
    ]
    return [
        *rays,
        _dot(SUN, 48, 50, 50),
        *_area(SEA, 12, 56, 88, 88, 10),
        _line(WHITE, 4, (38, 68), (62, 68)),
        _line(WHITE, 4, (44, 78), (56, 78)),
    ]


def _compass() -> list[Stripe]:
    ticks = [
        _line(INK, 4, (50 + 27 * cos(a), 50 + 27 * sin(a)), (50 + 31 * cos(a), 50 + 31 * sin(a)))
        for a in (k * pi / 4 for k in range(8))
    ]
    return [
        _dot(WHITE, 72, 50, 50),
        _arc(INK, 6, 50, 50, 37, 0, 360),
        *ticks,
        *_taper(RED, 27, 50, (50, 50), (46, 54), 4),
        *_taper(SEA, 50, 73, (46, 54), (50, 50), 4),
        _dot(INK, 7, 50, 50),
    ]


def _moon() -> list[Stripe]:
    return [
        _dot(INK, 76, 50, 50),
        _dot(SUN, 42, 46, 44),
        _dot(INK, 38, 56, 38),
        _dot(WHITE, 4, 62, 34),
        _dot(WHITE, 4, 72, 50),
        _line(SKY, 4, (28, 72), (44, 72)),
        _line(SKY, 4, (52, 77), (70, 77)),
    ]


PICTURES = (
    _boat, _lighthouse, _anchor, _sea_star, _flag, _buoy,
    _lantern, _shell, _rope_ring, _bell, _crate, _sun,
    _oars, _net, _compass, _pier, _moon, _waves,
)  # fmt: skip
"""In the order of the cards' numbers."""


def draw(canvas: Drawing, card: int, rect: Rect) -> None:
    """The picture of a card (numbered from 1, around again after the last) on its tint, square in `rect`."""
    side = min(rect.width, rect.height)
    x, y = rect.center
    square = Rect(x - side / 2, y - side / 2, side, side)
    place = (card - 1) % (len(PICTURES) * len(TINTS))
    canvas.panel(square, side * 0.12, TINTS[place // len(PICTURES)])
    scale = side * 0.88 / 100
    left, top = square.left + side * 0.06, square.top + side * 0.06
    for stripe in PICTURES[place % len(PICTURES)]():
        points = [(left + px * scale, top + py * scale) for px, py in stripe.points]
        canvas.line(points, stripe.width * scale, stripe.color)
