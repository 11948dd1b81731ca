"""The picture cards: 36 things of a small harbor town, told apart by their shape.

The things of the water stand here, those of the land in `town`; a picture is a few lines, discs and filled
shapes in a square of 100 by 100.
"""

from __future__ import annotations

from math import cos, pi, sin

from trainer.drawing.cards import town
from trainer.drawing.cards.parts import (
    GREEN,
    INK,
    RED,
    SEA,
    SKY,
    SUN,
    TINT,
    WHITE,
    Stripe,
    arc,
    area,
    dot,
    edged,
    line,
    ripples,
    taper,
)
from trainer.drawing.rect import Rect
from trainer.drawing.surface import Drawing


def _boat() -> list[Stripe]:
    return [
        *edged(WHITE, 5, (54, 20), (76, 54), (54, 54)),
        *taper(RED, 30, 54, (41, 42), (26, 42)),
        line(INK, 4, (47, 14), (47, 62)),
        *taper(INK, 64, 76, (20, 82), (30, 72)),
        *ripples(86),
    ]


def _buoy() -> list[Stripe]:
    return [
        line(INK, 4, (50, 14), (50, 30)),
        dot(SUN, 12, 50, 14),
        *taper(RED, 32, 72, (44, 56), (30, 70)),
        *taper(WHITE, 47, 56, (39, 61), (36, 64)),
        line(INK, 9, (22, 76), (78, 76)),
        *ripples(87),
    ]


def _anchor() -> list[Stripe]:
    return [
        arc(INK, 7, 50, 20, 9, 0, 360),
        line(INK, 8, (50, 30), (50, 86)),
        line(INK, 8, (32, 40), (68, 40)),
        arc(INK, 8, 50, 52, 34, 15, 165),
        line(INK, 7, (13, 70), (17, 58), (28, 66)),
        line(INK, 7, (87, 70), (83, 58), (72, 66)),
    ]


def _lighthouse() -> list[Stripe]:
    return [
        *edged(WHITE, 6, (42, 34), (58, 34), (66, 82), (34, 82)),
        *taper(RED, 44, 54, (41, 59), (39, 61)),
        *taper(RED, 66, 76, (37, 63), (35, 65)),
        *area(INK, 38, 16, 62, 24),
        *area(SUN, 42, 20, 58, 34),
        line(INK, 5, (36, 35), (64, 35)),
        line(SUN, 4, (70, 24), (86, 19)),
        line(SUN, 4, (70, 31), (86, 35)),
        line(INK, 8, (22, 87), (78, 87)),
    ]


def _rope_ring() -> list[Stripe]:
    bands = [arc(RED, 17, 50, 50, 29, start, start + 40) for start in (25, 115, 205, 295)]
    return [
        arc(WHITE, 18, 50, 50, 29, 0, 360),
        *bands,
        arc(INK, 3, 50, 50, 40, 0, 360),
        arc(INK, 3, 50, 50, 18, 0, 360),
    ]


def _shell() -> list[Stripe]:
    ribs = [
        line(INK, 3, (50, 80), (50 + 34 * cos(a), 66 + 44 * sin(a)))
        for a in (-2.6, -2.1, -1.57, -1.04, -0.54)
    ]
    fan = [line(SUN, 14, (50, 74), (50 + 30 * cos(a / 10), 64 + 36 * sin(a / 10))) for a in range(-29, -1, 2)]
    return [*fan, *ribs, line(INK, 8, (42, 83), (58, 83))]


def _flag() -> list[Stripe]:
    return [
        *area(SEA, 28, 18, 80, 54),
        *area(WHITE, 28, 32, 80, 40),
        line(INK, 6, (28, 12), (28, 88)),
        line(INK, 6, (16, 88), (40, 88)),
    ]


def _waves() -> list[Stripe]:
    rows = []
    for color, y in ((SKY, 32), (SEA, 52), (INK, 72)):
        rows.append(Stripe(color, 8, tuple((x, y + 7 * sin(x / 100 * 5 * pi)) for x in range(12, 89, 3))))
    return rows


def _sea_star() -> list[Stripe]:
    arms = [(50 + 36 * cos(a), 52 + 36 * sin(a)) for a in (-pi / 2 + k * 2 * pi / 5 for k in range(5))]
    dots = [dot(WHITE, 5, 50 + r * (x - 50) / 36, 52 + r * (y - 52) / 36) for x, y in arms for r in (13, 25)]
    return [*(line(RED, 17, (50, 52), arm) for arm in arms), *dots, dot(WHITE, 5, 50, 52)]


def _lantern() -> list[Stripe]:
    return [
        arc(INK, 5, 50, 26, 14, 180, 360),
        *area(INK, 34, 26, 66, 34),
        *area(SUN, 36, 36, 64, 74),
        *taper(WHITE, 50, 64, (50, 50), (47, 53)),
        *(line(INK, 4, (x, 36), (x, 74)) for x in (36, 64)),
        *area(INK, 30, 74, 70, 84),
    ]


def _crate() -> list[Stripe]:
    slats = [line(INK, 3, (20, y), (80, y)) for y in (42, 58)]
    return [
        *area(SUN, 18, 26, 82, 82),
        *slats,
        line(INK, 5, (20, 28), (80, 28), (80, 80), (20, 80), (20, 28)),
        line(INK, 5, (24, 76), (76, 32)),
    ]


def _net() -> list[Stripe]:
    down = [line(INK, 3, (x, 26), (50 + (x - 50) * 0.45, 80)) for x in (22, 36, 50, 64, 78)]
    level = [arc(INK, 3, 50, y, half, 10, 170, 0.35) for y, half in ((38, 26), (52, 21), (66, 16))]
    return [arc(GREEN, 7, 50, 24, 30, 0, 360, 0.25), *down, *level, dot(RED, 11, 50, 83)]


def _bell() -> list[Stripe]:
    return [
        line(INK, 5, (30, 14), (70, 14)),
        line(INK, 5, (50, 14), (50, 26)),
        *taper(SUN, 30, 66, (44, 56), (34, 66)),
        *taper(SUN, 66, 72, (32, 68), (26, 74)),
        line(INK, 4, (26, 75), (74, 75)),
        dot(INK, 12, 50, 84),
    ]


def _pier() -> list[Stripe]:
    posts = [line(INK, 7, (x, 36), (x, 78)) for x in (24, 50, 76)]
    return [
        *posts,
        *area(SUN, 12, 38, 88, 48),
        *(line(SUN, 7, (x, 28), (x, 40)) for x in (24, 76)),
        arc(INK, 3, 50, 28, 26, 0, 180, 0.3),
        *ripples(74),
        *ripples(86),
    ]


def _oars() -> list[Stripe]:
    return [
        line(SUN, 6, (24, 84), (66, 32)),
        line(SUN, 6, (76, 84), (34, 32)),
        line(SEA, 14, (68, 30), (78, 17)),
        line(RED, 14, (32, 30), (22, 17)),
        line(INK, 7, (22, 86), (28, 79)),
        line(INK, 7, (78, 86), (72, 79)),
    ]


def _sun() -> list[Stripe]:
    rays = [
        line(SUN, 5, (50 + 33 * cos(a), 50 + 33 * sin(a)), (50 + 41 * cos(a), 50 + 41 * sin(a)))
        for a in (-pi + k * pi / 6 for k in range(7))
    ]
    return [
        *rays,
        dot(SUN, 48, 50, 50),
        *area(SEA, 12, 56, 88, 88, 10),
        line(WHITE, 4, (38, 68), (62, 68)),
        line(WHITE, 4, (44, 78), (56, 78)),
    ]


def _compass() -> list[Stripe]:
    ticks = [
        line(INK, 4, (50 + 27 * cos(a), 50 + 27 * sin(a)), (50 + 31 * cos(a), 50 + 31 * sin(a)))
        for a in (k * pi / 4 for k in range(8))
    ]
    return [
        dot(WHITE, 72, 50, 50),
        arc(INK, 6, 50, 50, 37, 0, 360),
        *ticks,
        *taper(RED, 27, 50, (50, 50), (46, 54), 4),
        *taper(SEA, 50, 73, (46, 54), (50, 50), 4),
        dot(INK, 7, 50, 50),
    ]


def _moon() -> list[Stripe]:
    return [
        dot(INK, 76, 50, 50),
        dot(SUN, 42, 46, 44),
        dot(INK, 38, 56, 38),
        dot(WHITE, 4, 62, 34),
        dot(WHITE, 4, 72, 50),
        line(SKY, 4, (28, 72), (44, 72)),
        line(SKY, 4, (52, 77), (70, 77)),
    ]


PICTURES = (
    _boat, _lighthouse, _anchor, _sea_star, _flag, _buoy,
    _lantern, _shell, _rope_ring, _bell, _crate, _sun,
    _oars, _net, _compass, _pier, _moon, _waves,
    *town.PICTURES,
)  # fmt: skip
"""In the order of the cards' numbers, which are kept in records: a picture keeps its place."""


_NUMBERS = {picture.__name__.strip("_"): number for number, picture in enumerate(PICTURES, 1)}


def picture_of(word: str) -> int | None:
    """The number of the card that shows a word; None where there is none."""
    return _NUMBERS.get(word)


def draw(canvas: Drawing, card: int, rect: Rect) -> None:
    """The picture of a card (numbered from 1, around again after the last) on its tint, square in `rect`."""
    side = min(rect.width, rect.height)
    x, y = rect.center
    square = Rect(x - side / 2, y - side / 2, side, side)
    canvas.panel(square, side * 0.12, TINT)
    scale = side * 0.88 / 100
    left, top = square.left + side * 0.06, square.top + side * 0.06
    for stripe in PICTURES[(card - 1) % len(PICTURES)]():
        points = [(left + px * scale, top + py * scale) for px, py in stripe.points]
        canvas.line(points, stripe.width * scale, stripe.color)
