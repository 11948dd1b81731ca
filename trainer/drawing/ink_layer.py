"""The ink of one growing line: each new point touches only the pixels around the last two.

What the pen sampled is smoothed for drawing and stays untouched itself. Between the middles of the last
steps runs a curve; from the last middle to the pen runs a straight tail, which is not yet ink: it is
painted over the page until the next sample says how the line goes on.
"""

from __future__ import annotations

from collections.abc import Sequence
from math import atan2, ceil, degrees, hypot, pi

import numpy as np
from numpy.typing import NDArray

from trainer.drawing import coverage
from trainer.drawing.coverage import Box, Coverage, Point

TILE = 128
"""Side in px of the pieces in which coverage is kept, so that empty paper costs nothing."""

CORNER = 95.0
"""Degrees; a turn sharper than this between two samples is a corner and is not rounded."""


class InkLayer:
    """The coverage of one mark on a page of any size, in tiles that are made where ink comes."""

    def __init__(self, width: float, color: tuple[int, int, int]) -> None:
        self.radius = width / 2
        self.color = color
        self.box: Box | None = None
        self.count = 0
        self._tiles: dict[tuple[int, int], Coverage] = {}
        self._samples: list[Point] = []
        self._ended = True
        self._from: Point = (0.0, 0.0)
        self._last: Point = (0.0, 0.0)

    @property
    def step(self) -> float:
        """Samples nearer than this are skipped in drawing: whole-pixel steps of a slow mouse would show."""
        return max(2.5, 0.4 * self.radius)

    def grow(self, points: Sequence[Point], page: NDArray[np.uint8] | None = None) -> Box | None:
        """Take the points of the mark that are new since the last call; returns the pixels touched.

        `page` is a (height, width, 3) array that is painted at the same time.
        """
        touched: Box | None = None
        for point in points[self.count :]:
            touched = coverage.around(touched, self._add(point, page))
        self.count = len(points)
        return touched

    def finish(self, page: NDArray[np.uint8] | None = None) -> Box | None:
        """Turn the tail into ink: the pen is up, or rests."""
        tail = self.tail
        if tail is None:
            return None
        self._ended = True
        self._samples = [tail[1]]
        self._from = tail[1]
        return self._ink([tail[0], tail[1]], page)

    @property
    def tail(self) -> tuple[Point, Point] | None:
        """The straight piece from the ink's end to the pen; None when the ink has caught up."""
        return None if self._ended or self._from == self._last else (self._from, self._last)

    def _add(self, point: Point, page: NDArray[np.uint8] | None) -> Box | None:
        self._last = point
        if not self._samples:
            self._samples, self._from = [point], point
            return self._ink([point], page)
        self._ended = False
        before = self._samples[-1]
        if hypot(point[0] - before[0], point[1] - before[1]) < self.step:
            return None
        self._samples = [*self._samples[-1:], point]
        curve = self._curve(before, point)
        self._from = curve[-1]
        return self._ink(curve, page)

    def _curve(self, control: Point, after: Point) -> list[Point]:
        """From the ink's end by way of `control` to the middle of the step to `after`."""
        start, end = self._from, ((control[0] + after[0]) / 2, (control[1] + after[1]) / 2)
        into, out = _heading(start, control), _heading(control, after)
        turn = 0.0 if into is None or out is None else abs((out - into + pi) % (2 * pi) - pi)
        if degrees(turn) > CORNER or turn == 0.0:
            return [start, control, end]
        reach = hypot(control[0] - start[0], control[1] - start[1]) + hypot(
            end[0] - control[0], end[1] - control[1]
        )
        # Over n chords a curve of length s that turns by t strays by s·t/(8·n·n). A live line is looked
        # at closely, so it may stray by a quarter of what a thinned one may.
        count = max(1, ceil((reach * turn / (2 * coverage.CHORD_ERROR)) ** 0.5))
        return [_bezier(start, control, end, i / count) for i in range(count + 1)]

    def _ink(self, path: list[Point], page: NDArray[np.uint8] | None) -> Box | None:
        touched: Box | None = None
        for a, b in zip(path, path[1:] or path, strict=False):
            for start, end in coverage.pieces(a, b, self.radius):
                box = coverage.capsule_box(start, end, self.radius)
                touched = coverage.around(touched, box)
                self._merge(box, coverage.capsule(start, end, self.radius, box), page)
        self.box = coverage.around(self.box, touched)
        return touched

    def _merge(self, box: Box, fresh: Coverage, page: NDArray[np.uint8] | None) -> None:
        """Take the larger of the old and the fresh coverage; paint on the page what that adds."""
        for (column, row), part in tiles(box):
            tile = self._tiles.get((column, row))
            if tile is None:
                tile = self._tiles[column, row] = np.zeros((TILE, TILE), np.uint8)
            left, top = column * TILE, row * TILE
            old = tile[part[1] - top : part[3] - top, part[0] - left : part[2] - left]
            new = fresh[part[1] - box[1] : part[3] - box[1], part[0] - box[0] : part[2] - box[0]]
            if page is not None:
                paint(page, part, added(old, new), self.color)
            np.maximum(old, new, out=old)

    def paint(self, page: NDArray[np.uint8], box: Box) -> None:
        """Paint the ink that lies in `box` on a page that has none of it yet."""
        within = coverage.clipped(box, self.box) if self.box else None
        for (column, row), part in tiles(within) if within else ():
            tile = self._tiles.get((column, row))
            if tile is not None:
                left, top = column * TILE, row * TILE
                old = tile[part[1] - top : part[3] - top, part[0] - left : part[2] - left]
                paint(page, part, old * np.float32(1 / 255), self.color)


def tiles(box: Box) -> list[tuple[tuple[int, int], Box]]:
    """The tiles that `box` meets, each with what of the box lies in it."""
    columns = range(box[0] // TILE, (box[2] - 1) // TILE + 1)
    rows = range(box[1] // TILE, (box[3] - 1) // TILE + 1)
    pieces = []
    for column in columns:
        for row in rows:
            part = coverage.clipped(box, (column * TILE, row * TILE, (column + 1) * TILE, (row + 1) * TILE))
            if part is not None:
                pieces.append(((column, row), part))
    return pieces


def added(old: Coverage, new: Coverage) -> NDArray[np.float32]:
    """The opacity that turns a page painted with `old` into one painted with the larger of both."""
    before = old.astype(np.float32)
    rise = np.maximum(new, old).astype(np.float32) - before
    room = np.float32(255) - before
    share: NDArray[np.float32] = np.divide(rise, room, out=np.zeros_like(rise), where=room > 0)
    return share


def paint(
    page: NDArray[np.uint8], box: Box, opacity: NDArray[np.float32], color: tuple[int, int, int]
) -> None:
    """Mix `color` into the pixels of `box`, as far as they lie on the page."""
    height, width = page.shape[:2]
    part = coverage.clipped(box, (0, 0, width, height))
    if part is None:
        return
    place = page[part[1] : part[3], part[0] : part[2]]
    share = opacity[part[1] - box[1] : part[3] - box[1], part[0] - box[0] : part[2] - box[0], None]
    under = place.astype(np.float32)
    under += (np.array(color, np.float32) - under) * share
    under += np.float32(0.5)
    place[...] = under.astype(np.uint8)


def _heading(a: Point, b: Point) -> float | None:
    return atan2(b[1] - a[1], b[0] - a[0]) if a != b else None


def _bezier(start: Point, control: Point, end: Point, t: float) -> Point:
    u = 1 - t
    return (
        u * u * start[0] + 2 * u * t * control[0] + t * t * end[0],
        u * u * start[1] + 2 * u * t * control[1] + t * t * end[1],
    )
