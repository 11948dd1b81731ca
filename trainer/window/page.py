"""What the window shows: a still page, the ink that grows on it, and a moving tip over both.

Three surfaces: `still` is what the scene drew, `inked` is that with all ink, and the screen is the
inked page with the ink's tails, the badges and the pen's tip over it. A frame paints new ink and shows
the few rectangles that changed, so its cost does not depend on how much ink there is.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from math import ceil, floor
from typing import TypeAlias

import numpy as np
from numpy.typing import NDArray

from trainer.drawing import PAPER, Box, InkLayer, Metrics, Point, Ring, coverage, paint, rgb
from trainer.drawing.raster import Canvas, sprites
from trainer.pygame_start import pygame
from trainer.window.scenes.scene import Mark, Scene, Tip

_Over: TypeAlias = tuple[tuple[Point, Point], float, tuple[int, int, int]]

SETTLE = 0.1
"""Seconds without a new point after which a mark's tail becomes ink: the pen is up, or it rests."""


class Page:
    """The page of a window: `paint` brings it up to date with a scene, `show` puts it on a screen."""

    def __init__(self, size: tuple[int, int]) -> None:
        self.size = size
        self.still = pygame.Surface(size, depth=32)
        self.inked = pygame.Surface(size, depth=32)
        self._layers: dict[Mark, InkLayer] = {}
        self._tailed: dict[Mark, float] = {}  # marks with a tail, and for how long they rest
        self._known: list[Mark] = []
        self._lines: list[list[Point]] = []  # the known marks' points, and how many are painted
        self._painted: list[int] = []
        self._overlay: list[Box] = []
        self._tip: Tip | None = None
        self._badges: Sequence[Ring] = ()
        self._metrics = Metrics.of(size)
        sprites.fit(size)

    @property
    def whole(self) -> Box:
        """The box of the whole page."""
        return (0, 0, *self.size)

    def paint(self, scene: Scene, metrics: Metrics, seconds: float, over: Sequence[Mark] = ()) -> list[Box]:
        """Bring still page and ink up to date after `seconds`; returns what changed.

        Marks `over` the scene's own are the window's.
        """
        marks = [*scene.marks, *over] if over else scene.marks
        gone = self._meet(marks) if marks != self._known else []
        if not scene.stale:
            return [*self._take_away(gone), *self._grow(seconds)]
        scene.stale = False
        self._drop(gone)
        self._draw(scene, metrics)
        self._ink_again(self.whole)
        return [self.whole, *self._grow(seconds)]

    def show(self, screen: pygame.Surface, changed: Sequence[Box], tip: Tip | None) -> list[pygame.Rect]:
        """Copy what changed to `screen` and put tails, badges and tip over it; returns what to update."""
        layers = [self._layers[mark] for mark in self._tailed]
        tails: list[_Over] = [(layer.tail, layer.radius, layer.color) for layer in layers if layer.tail]
        tips: list[_Over] = [((tip.center, tip.center), tip.radius, rgb(tip.color))] if tip else []
        boxes = [coverage.line_box(path, radius) for path, radius, _ in (*tails, *tips)]
        if not changed and tip == self._tip and boxes == self._overlay:
            return []
        areas = [_area(box) for box in {*changed, *self._overlay, *boxes}]
        around = [_around(badge) for badge in self._badges]
        badges = self._badges if any(place.collidelist(areas) >= 0 for place in around) else ()
        areas += around if badges else []
        for area in areas:
            screen.blit(self.inked, area, area)
        _put_over(screen, tails)
        canvas = Canvas(screen, self._metrics)
        for badge in badges:
            badge.draw(canvas)
        _put_over(screen, tips)
        self._overlay, self._tip = boxes, tip
        return areas

    def _draw(self, scene: Scene, metrics: Metrics) -> None:
        canvas = Canvas(self.still, metrics)
        canvas.fill(PAPER)
        scene.draw(canvas)
        self._badges, self._metrics = scene.badges, metrics
        self.inked.blit(self.still, (0, 0))

    def _meet(self, marks: list[Mark]) -> list[Mark]:
        """Make a layer for each new mark; returns the marks that are gone."""
        wanted = set(marks)
        for mark in marks:
            if mark not in self._layers:
                self._layers[mark] = InkLayer(mark.width, rgb(mark.color))
        self._known = list(marks)
        self._lines = [mark.points for mark in marks]
        self._painted = [self._layers[mark].count for mark in marks]
        return [mark for mark in self._layers if mark not in wanted]

    def _drop(self, gone: list[Mark]) -> list[Box]:
        """Forget marks; returns where their ink lay."""
        for mark in gone:
            self._tailed.pop(mark, None)
        return [box for mark in gone if (box := self._layers.pop(mark).box) is not None]

    def _take_away(self, gone: list[Mark]) -> list[Box]:
        """Put the still page back where marks were dropped, and the ink of all others that lay there."""
        boxes = self._drop(gone)
        for box in boxes:
            area = _area(box)
            self.inked.blit(self.still, area, area)
            self._ink_again(box)
        return boxes

    def _ink_again(self, box: Box) -> None:
        layers = [self._layers[mark] for mark in self._known if mark in self._layers]
        if layers:
            with pixels(self.inked) as array:
                for layer in layers:
                    layer.paint(array, box)

    def _grow(self, seconds: float) -> list[Box]:
        """Paint the points that are new since the last frame; a mark that rests gets its tail."""
        layers = self._layers
        counts = list(map(len, self._lines))
        grown: list[Mark] = []
        if counts[:-1] != self._painted[:-1]:
            grown = [m for m, now, old in zip(self._known, counts, self._painted, strict=True) if now != old]
        elif counts != self._painted:
            grown = self._known[-1:]  # by far the most frequent: a page may have a thousand marks
        self._painted = counts
        if not grown and not self._tailed:
            return []
        for mark in self._tailed:
            self._tailed[mark] += seconds
        self._tailed.update(dict.fromkeys(grown, 0.0))
        changed: list[Box | None] = []
        with pixels(self.inked) as array:
            for mark in grown:
                changed.append(layers[mark].grow(mark.points, array))
            for mark, rested in list(self._tailed.items()):
                if rested >= SETTLE or mark is not self._known[-1]:
                    changed.append(layers[mark].finish(array))
                if layers[mark].tail is None:
                    del self._tailed[mark]
        return [box for box in changed if box is not None]


@contextmanager
def pixels(surface: pygame.Surface) -> Iterator[NDArray[np.uint8]]:
    """The surface's own bytes as (height, width, 3); it cannot be blitted while they are open."""
    view = pygame.surfarray.pixels3d(surface)
    try:
        yield view.swapaxes(0, 1)
    finally:
        del view


def _put_over(screen: pygame.Surface, lines: Sequence[_Over]) -> None:
    if lines:
        with pixels(screen) as array:
            for path, radius, color in lines:
                box = coverage.line_box(path, radius)
                paint(array, box, coverage.line(path, radius, box) * np.float32(1 / 255), color)


def _around(badge: Ring) -> pygame.Rect:
    box = badge.box
    left, top = floor(box.left), floor(box.top)
    return pygame.Rect(left, top, ceil(box.right) - left, ceil(box.bottom) - top)


def _area(box: Box) -> pygame.Rect:
    return pygame.Rect(box[0], box[1], box[2] - box[0], box[3] - box[1])
