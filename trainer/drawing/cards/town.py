"""The picture cards of the land: what lies, grows and moves between the quay and the hill."""

from __future__ import annotations

from math import cos, pi, sin

from trainer.drawing.cards.parts import (
    GREEN,
    INK,
    RED,
    SEA,
    SKY,
    SUN,
    WHITE,
    Stripe,
    arc,
    area,
    dot,
    edged,
    filled,
    line,
    taper,
)


def _spokes(
    color: str, width: float, x: float, y: float, inner: float, outer: float, count: int, turn: float = 0.0
) -> list[Stripe]:
    """Lines outward from a middle, evenly around."""
    directions = [turn + place * 2 * pi / count for place in range(count)]
    return [
        line(color, width, (x + inner * cos(a), y + inner * sin(a)), (x + outer * cos(a), y + outer * sin(a)))
        for a in directions
    ]


def _fish() -> list[Stripe]:
    body = arc(SEA, 8, 42, 50, 28, 0, 360, 0.62)
    return [
        *filled(SEA, 6, (66, 50), (88, 32), (82, 50), (88, 68)),
        *filled(SEA, 6, (34, 36), (50, 22), (54, 38)),
        *filled(SEA, 8, *body.points[:-1]),
        arc(WHITE, 4, 24, 50, 13, -50, 50),
        dot(WHITE, 9, 24, 45),
        dot(INK, 5, 24, 45),
        arc(WHITE, 3, 50, 50, 9, -60, 60),
        arc(WHITE, 3, 60, 50, 9, -60, 60),
    ]


def _crab() -> list[Stripe]:
    legs = [
        line(RED, 5, (50 + side * 22, 60 + drop), (50 + side * 36, 58 + drop), (50 + side * 40, 72 + drop))
        for side in (-1, 1)
        for drop in (-4, 6, 15)
    ]
    arms = [
        line(RED, 6, (50 + side * 20, 54), (50 + side * 34, 44), (50 + side * 30, 30)) for side in (-1, 1)
    ]
    claws = [
        arc(RED, 7, 50 + side * 30, 22, 10, -60 + turn, 210 + turn) for side, turn in ((-1, 20), (1, 10))
    ]
    eyes = [stripe for x in (43, 57) for stripe in (line(INK, 3, (x, 50), (x, 40)), dot(INK, 7, x, 38))]
    body = arc(RED, 8, 50, 63, 22, 0, 360, 0.7)
    return [*legs, *arms, *claws, *eyes, *filled(RED, 8, *body.points[:-1])]


def _gull() -> list[Stripe]:
    body = ((26, 40), (34, 38), (48, 46), (76, 52), (86, 58), (70, 66), (46, 68), (32, 60), (27, 48))
    return [
        line(SUN, 4, (46, 70), (46, 84), (38, 84)),
        line(SUN, 4, (58, 70), (58, 84), (50, 84)),
        *filled(INK, 10, *body),
        dot(INK, 27, 30, 36),
        *filled(WHITE, 5, *body),
        dot(WHITE, 22, 30, 36),
        *filled(INK, 5, (44, 50), (66, 54), (86, 56), (64, 62), (50, 60)),
        *filled(SUN, 4, (10, 37), (21, 33), (21, 40)),
        dot(INK, 5, 28, 33),
    ]


def _snail() -> list[Stripe]:
    winding = tuple(
        (58 + (4 + turn / 32) * cos(turn * pi / 180), 50 + (4 + turn / 32) * sin(turn * pi / 180))
        for turn in range(0, 700, 12)
    )
    return [
        line(GREEN, 11, (86, 82), (26, 82), (20, 70), (20, 54)),
        line(GREEN, 4, (20, 54), (12, 36)),
        line(GREEN, 4, (20, 54), (28, 36)),
        dot(INK, 8, 12, 34),
        dot(INK, 8, 28, 34),
        dot(SUN, 58, 58, 50),
        Stripe(INK, 5, winding),
    ]


def _crane() -> list[Stripe]:
    return [
        line(INK, 8, (16, 86), (52, 86)),
        line(RED, 6, (26, 84), (30, 18)),
        line(RED, 6, (42, 84), (38, 18)),
        *(line(RED, 3, (28, y), (41, y - 12)) for y in (78, 62, 46)),
        line(RED, 7, (14, 24), (86, 24)),
        line(INK, 3, (34, 14), (82, 23)),
        *area(INK, 10, 26, 24, 40),
        line(INK, 3, (76, 26), (76, 52)),
        *area(SUN, 64, 54, 88, 76, 6),
    ]


def _wheel() -> list[Stripe]:
    return [
        *_spokes(INK, 7, 50, 50, 8, 40, 8, pi / 8),
        arc(SUN, 9, 50, 50, 25, 0, 360),
        dot(INK, 18, 50, 50),
        dot(SUN, 8, 50, 50),
    ]


def _umbrella() -> list[Stripe]:
    dome = arc(RED, 6, 50, 48, 36, 180, 360)
    return [
        *filled(RED, 6, *dome.points),
        *(line(WHITE, 3, (50, 14), (50 + x, 47)) for x in (-13, 13)),
        line(INK, 5, (50, 8), (50, 14)),
        line(INK, 5, (50, 48), (50, 80)),
        arc(INK, 5, 42, 80, 8, 0, 180),
    ]


def _boots() -> list[Stripe]:
    return [
        *filled(GREEN, 6, (18, 22), (38, 22), (38, 60), (46, 70), (46, 82), (18, 82)),
        *filled(SEA, 6, (56, 18), (76, 18), (76, 56), (86, 66), (86, 78), (56, 78)),
        line(WHITE, 4, (18, 32), (38, 32)),
        line(WHITE, 4, (56, 28), (76, 28)),
        line(INK, 5, (17, 86), (47, 86)),
        line(INK, 5, (55, 82), (87, 82)),
    ]


def _house() -> list[Stripe]:
    return [
        *edged(WHITE, 4, (24, 48), (76, 48), (76, 86), (24, 86)),
        *area(INK, 64, 16, 73, 36, 4),
        *filled(RED, 6, (50, 14), (86, 46), (14, 46)),
        *area(INK, 56, 60, 70, 88, 4),
        *area(SKY, 30, 56, 48, 72, 4),
        line(INK, 3, (39, 56), (39, 72)),
        line(INK, 3, (30, 64), (48, 64)),
    ]


def _tree() -> list[Stripe]:
    return [
        *area(INK, 45, 70, 55, 90, 6),
        *filled(GREEN, 5, (50, 12), (66, 34), (34, 34)),
        *filled(GREEN, 5, (50, 28), (74, 54), (26, 54)),
        *filled(GREEN, 5, (50, 44), (82, 74), (18, 74)),
    ]


def _bucket() -> list[Stripe]:
    return [
        arc(INK, 4, 50, 42, 30, 180, 360),
        *taper(SEA, 44, 86, (20, 80), (32, 68)),
        line(WHITE, 4, (26, 58), (74, 58)),
        line(INK, 6, (17, 42), (83, 42)),
        dot(INK, 9, 20, 42),
        dot(INK, 9, 80, 42),
    ]


def _key() -> list[Stripe]:
    return [
        stripe
        for color, more in ((INK, 5), (SUN, 0))
        for stripe in (
            arc(color, 9 + more, 26, 50, 14, 0, 360),
            line(color, 8 + more, (42, 50), (86, 50)),
            line(color, 7 + more, (71, 52), (71, 66)),
            line(color, 7 + more, (86, 52), (86, 70)),
        )
    ]


def _ladder() -> list[Stripe]:
    rungs = [(30 + 0.15 * step, 80 - step) for step in range(0, 68, 13)]
    return [
        *(line(INK, 5, (x, y), (100 - x, y)) for x, y in rungs),
        line(SUN, 7, (28, 90), (41, 10)),
        line(SUN, 7, (72, 90), (59, 10)),
    ]


def _kite() -> list[Stripe]:
    tail = [(50 + 6 * sin(y / 4), 62 + y) for y in range(0, 30, 2)]
    return [
        *filled(RED, 5, (62, 10), (84, 34), (52, 62), (38, 26)),
        line(WHITE, 3, (62, 10), (52, 62)),
        line(WHITE, 3, (38, 26), (84, 34)),
        Stripe(INK, 3, tuple((x - 2 - (y - 62) * 0.9, y) for x, y in tail)),
        *(line(SUN, 6, (x - 6, y - 3), (x + 6, y + 3)) for x, y in ((42, 72), (31, 84))),
    ]


def _jellyfish() -> list[Stripe]:
    dome = arc(SKY, 6, 50, 42, 27, 180, 360, 1.1)
    arms = [
        Stripe(SEA, 4, tuple((x + 4 * sin(y / 5 + x), 46 + y) for y in range(0, long, 3)))
        for x, long in ((30, 28), (40, 42), (50, 34), (60, 42), (70, 28))
    ]
    return [
        *arms,
        *filled(SKY, 6, *dome.points),
        line(SEA, 5, (23, 44), (77, 44)),
        dot(INK, 6, 42, 32),
        dot(INK, 6, 58, 32),
    ]


def _windmill() -> list[Stripe]:
    sails = _spokes(INK, 4, 50, 36, 0, 34, 4, pi / 5)
    cloths = [
        line(
            RED,
            9,
            (50 + 14 * cos(a) - 5 * sin(a), 36 + 14 * sin(a) + 5 * cos(a)),
            (50 + 31 * cos(a) - 5 * sin(a), 36 + 31 * sin(a) + 5 * cos(a)),
        )
        for a in (pi / 5 + place * pi / 2 for place in range(4))
    ]
    return [
        *edged(WHITE, 6, (42, 36), (58, 36), (67, 86), (33, 86)),
        *area(INK, 44, 70, 56, 90, 4),
        *cloths,
        *sails,
        dot(INK, 9, 50, 36),
    ]


def _bicycle() -> list[Stripe]:
    return [
        *(arc(INK, 5, x, 66, 17, 0, 360) for x in (26, 74)),
        line(RED, 5, (26, 66), (40, 38), (66, 38), (48, 66), (26, 66)),
        line(RED, 5, (48, 66), (38, 32)),
        line(RED, 5, (74, 66), (63, 28)),
        line(INK, 6, (31, 30), (45, 30)),
        line(INK, 5, (63, 28), (76, 26)),
    ]


def _cup() -> list[Stripe]:
    steam = [
        Stripe(SEA, 4, tuple((x + 4 * sin(y / 4), 14 + y) for y in range(0, 22, 2))) for x in (34, 48, 62)
    ]
    return [
        *steam,
        arc(INK, 6, 68, 58, 13, -90, 90),
        *edged(WHITE, 5, (24, 44), (70, 44), (68, 66), (60, 78), (34, 78), (26, 66)),
        line(RED, 5, (26, 56), (68, 56)),
        line(INK, 6, (18, 87), (78, 87)),
    ]


PICTURES = (
    _fish, _house, _crab, _umbrella, _bicycle, _gull,
    _key, _tree, _snail, _wheel, _kite, _bucket,
    _crane, _boots, _jellyfish, _ladder, _windmill, _cup,
)  # fmt: skip
"""In the order of the cards' numbers, after those of the water."""
