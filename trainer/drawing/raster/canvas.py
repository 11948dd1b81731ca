"""Drawing on a pygame Surface, in px: anti-aliased lines, discs, panels and words.

Whatever is drawn is kept as a sprite under its content, so that a still page is repainted within a frame.
"""

from __future__ import annotations

from collections import OrderedDict
from collections.abc import Hashable, Sequence
from math import ceil
from typing import Any

import numpy as np

from trainer.drawing import coverage
from trainer.drawing.coverage import Coverage, Point
from trainer.drawing.raster.fonts import font, place
from trainer.drawing.rect import Rect
from trainer.drawing.surface import Align, Points
from trainer.drawing.theme import Metrics, rgb
from trainer.drawing.typesetting import LINE_HEIGHT
from trainer.pygame_start import pygame

SPRITE_BYTES = 4 * 2**20
"""Memory for sprites where there is no page, and for the smallest page."""
POINT_BYTES = 128
"""Of a point in a key: a pair, two numbers, and its place in the line."""


class Canvas:
    """A Drawing on a pygame Surface; it may be one without a window."""

    def __init__(self, surface: pygame.Surface, metrics: Metrics | None = None) -> None:
        self.surface = surface
        self.metrics = metrics or Metrics.of(surface.get_size())

    @property
    def size(self) -> tuple[int, int]:
        """Width and height in px."""
        return self.surface.get_size()

    def mm(self, millimeters: float) -> float:
        """Pixels for a length on the glass."""
        return self.metrics.mm(millimeters)

    def fill(self, color: str) -> None:
        """One color everywhere."""
        self.surface.fill(rgb(color))

    def line(self, points: Points, width: float, color: str, dashed: bool = False) -> None:
        """A line with round caps and joins; one point is a dot, no points are nothing."""
        path = [(float(x), float(y)) for x, y in points]
        for piece in dashes(path, width) if dashed else [path]:
            if piece:
                self._line(coverage.thinned(piece), width / 2, color)

    def _line(self, path: list[Point], radius: float, color: str) -> None:
        box = coverage.line_box(path, radius)
        left, top = box[0], box[1]
        # A sixteenth of a pixel is below what a coverage byte can show on a slanted edge.
        key = tuple((round((x - left) * 16), round((y - top) * 16)) for x, y in path)
        here = [(x / 16, y / 16) for x, y in key]
        bounds = (0, 0, box[2] - left, box[3] - top)
        if not self._visible(box):
            return
        self._stamp(
            ("line", key, radius, color), (left, top), lambda: coverage.line(here, radius, bounds), color
        )

    def disc(self, center: Point, radius: float, color: str) -> None:
        """A filled circle."""
        self._line([center], radius, color)

    def ring(self, center: Point, radius: float, width: float, color: str) -> None:
        """A circle's outline; `radius` is that of its middle line."""
        box = coverage.line_box([center], radius + width / 2)
        middle = (round((center[0] - box[0]) * 16) / 16, round((center[1] - box[1]) * 16) / 16)
        bounds = (0, 0, box[2] - box[0], box[3] - box[1])
        if self._visible(box):
            self._stamp(
                ("ring", middle, radius, width, color),
                (box[0], box[1]),
                lambda: coverage.ring(middle, radius, width, bounds),
                color,
            )

    def panel(
        self, rect: Rect, radius: float, color: str, border: str | None = None, border_width: float = 0
    ) -> None:
        """A box with rounded corners; the border lies inside it."""
        left, top = round(rect.left), round(rect.top)
        width, height = round(rect.right) - left, round(rect.bottom) - top
        if width <= 0 or height <= 0:
            return
        if border is not None and border_width > 0:
            edge = max(1, round(border_width))
            self._rounded(left, top, width, height, radius, border)
            left, top, width, height = left + edge, top + edge, width - 2 * edge, height - 2 * edge
            radius -= edge
        if width > 0 and height > 0:
            self._rounded(left, top, width, height, radius, color)

    def _rounded(self, left: int, top: int, width: int, height: int, radius: float, color: str) -> None:
        corner = max(0, min(round(radius), width // 2, height // 2))
        fill = rgb(color)
        self.surface.fill(fill, (left + corner, top, width - 2 * corner, height))
        self.surface.fill(fill, (left, top + corner, corner, height - 2 * corner))
        self.surface.fill(fill, (left + width - corner, top + corner, corner, height - 2 * corner))
        if not corner:
            return
        right, bottom = left + width - corner, top + height - corner
        for x, y in ((0, 0), (1, 0), (0, 1), (1, 1)):
            middle = ((1 - x) * corner, (1 - y) * corner)
            self._stamp(
                ("corner", x, y, corner, color),
                (right if x else left, bottom if y else top),
                lambda at=middle: coverage.capsule(at, at, corner, (0, 0, corner, corner)),
                color,
            )

    def text(
        self,
        string: str,
        where: Rect | Point,
        size: float,
        color: str,
        align: Align = "center",
        bold: bool = False,
        wrap: bool = True,
    ) -> Rect:
        """Words, in the middle of a box or at a point; returns the box that they take."""
        setting, box = place(string, where, size, align, bold, wrap)
        step = setting.size * LINE_HEIGHT
        for number, row in enumerate(setting.lines):
            image = self._word(row, setting.size, bold, color)
            if image is None:
                continue
            slack = setting.width - image.get_width() if align == "center" else 0.0
            top = box.top + step * number + (step - image.get_height()) / 2
            self.surface.blit(image, (round(box.left + slack / 2), round(top)))
        return box

    def _word(self, row: str, size: int, bold: bool, color: str) -> pygame.Surface | None:
        if not row.strip():
            return None
        key = ("text", row, size, bold, color)
        image = sprites.get(key)
        if image is None:
            image = font(size, bold).render(row, True, rgb(color))
            sprites.keep(key, image)
        return image

    def _visible(self, box: coverage.Box) -> bool:
        width, height = self.surface.get_size()
        return coverage.clipped(box, (0, 0, width, height)) is not None

    def _stamp(self, key: Hashable, at: tuple[int, int], make: Any, color: str) -> None:
        image = sprites.get(key)
        if image is None:
            image = tinted(make(), color)
            sprites.keep(key, image)
        self.surface.blit(image, at)


class Sprites:
    """Images by their content; the ones used longest ago are let go when they take too much memory."""

    def __init__(self, limit: int) -> None:
        self.limit = limit
        self.taken = 0
        self._images: OrderedDict[Hashable, pygame.Surface] = OrderedDict()

    def fit(self, size: tuple[int, int]) -> None:
        """Allow as much memory as a page of this size in px takes: of that a scene uses up to a third."""
        self.limit = max(SPRITE_BYTES, _bytes(size))
        self._trim()

    def get(self, key: Hashable) -> pygame.Surface | None:
        """The image under this content, or None."""
        image = self._images.get(key)
        if image is not None:
            self._images.move_to_end(key)
        return image

    def keep(self, key: Hashable, image: pygame.Surface) -> None:
        """Keep an image; one that is larger than a quarter of all memory for them is not kept."""
        cost = _cost(key, image)
        if cost > self.limit // 4:
            return
        self._images[key] = image
        self.taken += cost
        self._trim()

    def _trim(self) -> None:
        while self.taken > self.limit:
            self.taken -= _cost(*self._images.popitem(last=False))


def _cost(key: Hashable, image: pygame.Surface) -> int:
    """Bytes of an image and of the points in its key, which are more than a thin line's image has."""
    points = len(key[1]) if isinstance(key, tuple) and isinstance(key[1], tuple) else 0
    return _bytes(image.get_size()) + points * POINT_BYTES


def _bytes(size: tuple[int, int]) -> int:
    return size[0] * size[1] * 4


sprites = Sprites(SPRITE_BYTES)


def tinted(cover: Coverage, color: str) -> pygame.Surface:
    """An image of one color that is as opaque as `cover` says."""
    height, width = cover.shape
    pixels = np.empty((height, width, 4), np.uint8)
    pixels[..., :3] = rgb(color)[::-1]
    pixels[..., 3] = cover
    # In the byte order of the screen SDL mixes it ten times faster than in any other.
    return pygame.image.frombytes(pixels.tobytes(), (width, height), "BGRA")


def dashes(path: Sequence[Point], width: float) -> list[list[Point]]:
    """`path` cut into dashes of three widths with gaps of three (their round caps take one of these)."""
    if len(path) < 2:
        return [list(path)]
    dash, gap = 3 * width, 3 * width
    line = np.asarray(path, np.float64)
    along = np.concatenate([[0.0], np.cumsum(np.hypot(*np.diff(line, axis=0).T))])
    result: list[list[Point]] = []
    for number in range(ceil(along[-1] / (dash + gap))):
        start = number * (dash + gap)
        end = min(start + dash, float(along[-1]))
        inside = along[(along > start) & (along < end)]
        stops = np.concatenate([[start], inside, [end]])
        xs, ys = (np.interp(stops, along, axis) for axis in line.T)
        result.append(list(zip(xs.tolist(), ys.tolist(), strict=True)))
    return result or [list(path)]
