"""How much of each pixel a round pen covers: anti-aliasing by distance, combined by the larger value.

Coverage is a (height, width) uint8 array, 255 for a pixel that is covered whole. A line is the union
of its capsules (a segment with round ends); because two capsules meet by the larger value and not by
a sum, a joint is no darker than the rest, whatever pieces the line was drawn in.
"""

from __future__ import annotations

import itertools
from collections.abc import Iterable, Sequence
from math import atan2, ceil, floor, hypot, pi
from typing import TypeAlias

import numpy as np
from numpy.typing import NDArray

Coverage: TypeAlias = NDArray[np.uint8]
Point: TypeAlias = tuple[float, float]
Box: TypeAlias = tuple[int, int, int, int]
"""Left, top, right, bottom in whole px; right and bottom are just outside."""

CHORD_ERROR = 0.06
"""Px by which a thinned line may leave the line it was thinned from: no eye sees it."""

PIECE = 64.0
"""Px; a slanted segment is covered piece by piece so that its boxes stay small."""


def capsule_box(a: Point, b: Point, radius: float) -> Box:
    """The pixels that a round pen of `radius` may touch on its way from a to b."""
    reach = max(radius, 0.5) + 0.5
    return (
        floor(min(a[0], b[0]) - reach),
        floor(min(a[1], b[1]) - reach),
        ceil(max(a[0], b[0]) + reach),
        ceil(max(a[1], b[1]) + reach),
    )


def capsule(a: Point, b: Point, radius: float, box: Box) -> Coverage:
    """Coverage of the pixels of `box` by a round pen that goes from a to b; a disc where a is b.

    A pen thinner than one pixel covers its pixel in part, so a hairline gets fainter, not broken.
    """
    left, top, right, bottom = box
    xs = np.arange(left, right, dtype=np.float32) + np.float32(0.5 - a[0])
    ys = (np.arange(top, bottom, dtype=np.float32) + np.float32(0.5 - a[1]))[:, None]
    run_x, run_y = np.float32(b[0] - a[0]), np.float32(b[1] - a[1])
    square = run_x * run_x + run_y * run_y
    if square > 1e-9:
        along = xs * (run_x / square) + ys * (run_y / square)
        np.clip(along, 0, 1, out=along)
        away_x, away_y = xs - along * run_x, ys - along * run_y
        away_x *= away_x
        away_y *= away_y
        away_x += away_y
        distance = np.sqrt(away_x, out=away_x)
    else:
        distance = np.sqrt(xs * xs + ys * ys)
    reach = max(radius, 0.5)
    strength = 255 * min(1.0, 2 * radius)
    np.subtract(np.float32(reach + 0.5), distance, out=distance)
    np.clip(distance, 0, 1, out=distance)
    distance *= np.float32(strength)
    distance += np.float32(0.5)
    return distance.astype(np.uint8)


def pieces(a: Point, b: Point, radius: float) -> Iterable[tuple[Point, Point]]:
    """The segment from a to b, in pieces where it is long and slanted; the union is the same."""
    run_x, run_y = b[0] - a[0], b[1] - a[1]
    count = ceil(min(abs(run_x), abs(run_y)) / max(PIECE, 3 * radius))
    if count <= 1:
        return ((a, b),)
    stops = [(a[0] + run_x * i / count, a[1] + run_y * i / count) for i in range(count + 1)]
    return itertools.pairwise(stops)


def thinned(points: Sequence[Point]) -> list[Point]:
    """`points` without those that a straight chord replaces to within CHORD_ERROR; both ends stay.

    A chord of length s over an arc that turns by t radians strays by s·t/8.
    """
    if len(points) < 3:
        return list(points)
    simplified = [points[0]]
    along = turned = 0.0
    heading: float | None = None
    before = points[0]
    for point in points[1:]:
        step = hypot(point[0] - before[0], point[1] - before[1])
        if step < 1e-6:
            continue
        towards = atan2(point[1] - before[1], point[0] - before[0])
        turn = 0.0 if heading is None else abs((towards - heading + pi) % (2 * pi) - pi)
        if (along + step) * (turned + turn) / 8 > CHORD_ERROR and before is not simplified[-1]:
            simplified.append(before)
            along = turned = 0.0
        else:
            turned += turn
        along += step
        heading, before = towards, point
    simplified.append(points[-1])
    return simplified


def line_box(points: Sequence[Point], radius: float) -> Box:
    """The pixels that a line through `points` may touch."""
    xs, ys = [p[0] for p in points], [p[1] for p in points]
    return capsule_box((min(xs), min(ys)), (max(xs), max(ys)), radius)


def line(points: Sequence[Point], radius: float, box: Box, into: Coverage | None = None) -> Coverage:
    """Coverage of `box` by a round pen along `points`; one point is a dot. Adds to `into` if given."""
    left, top, right, bottom = box
    cover = np.zeros((bottom - top, right - left), np.uint8) if into is None else into
    ends = itertools.pairwise(points) if len(points) > 1 else [(points[0], points[0])]
    for start, end in ends:
        for a, b in pieces(start, end, radius):
            part = clipped(capsule_box(a, b, radius), box)
            if part is None:
                continue
            place = cover[part[1] - top : part[3] - top, part[0] - left : part[2] - left]
            np.maximum(place, capsule(a, b, radius, part), out=place)
    return cover


def clipped(box: Box, bounds: Box) -> Box | None:
    """What of `box` lies in `bounds`, or None."""
    left, top = max(box[0], bounds[0]), max(box[1], bounds[1])
    right, bottom = min(box[2], bounds[2]), min(box[3], bounds[3])
    return (left, top, right, bottom) if left < right and top < bottom else None


def around(box: Box | None, other: Box | None) -> Box | None:
    """The smallest box around both; None counts for nothing."""
    if box is None or other is None:
        return box or other
    return min(box[0], other[0]), min(box[1], other[1]), max(box[2], other[2]), max(box[3], other[3])


def ring(center: Point, radius: float, width: float, box: Box) -> Coverage:
    """Coverage of `box` by a ring whose middle line has `radius`."""
    outer = capsule(center, center, radius + width / 2, box)
    hole = radius - width / 2
    return outer - np.minimum(outer, capsule(center, center, hole, box)) if hole > 0 else outer
