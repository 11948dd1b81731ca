"""The cost of a frame while a child writes, with little and with much ink on the screen.

Run by hand: `python -m tests.benchmarks.frames`. The machine decides the times; the ratio should stay
under 1.2. Ink is written as strokes of 100 points; a frame has two new samples, as a 120 Hz screen sends.
"""

from __future__ import annotations

import os
from math import cos, sin
from statistics import median, quantiles
from time import perf_counter

os.environ.setdefault("SDL_VIDEODRIVER", "dummy")

import pygame

from trainer.drawing import theme
from trainer.drawing.surface import Drawing
from trainer.window.events import PointerEvent
from trainer.window.scenes.scene import Mark, Scene
from trainer.window.window import Window

SIZES = ((1920, 1080), (3840, 2160))
POINTS = (100, 10_000, 100_000)
STROKE = 100
FRAMES = 300
ROUNDS = 3


class Paper(Scene):
    """A page full of ink, and a pen that writes on it."""

    def __init__(self, points: int, size: tuple[int, int]) -> None:
        super().__init__()
        self.pen = size[1] / 60
        self.marks = [
            Mark(self.pen, theme.BLUE, squiggle(number, size)) for number in range(points // STROKE)
        ]

    def draw(self, canvas: Drawing) -> None:
        width, height = canvas.size
        canvas.line([(0, height / 2), (width, height / 2)], 4, theme.GUIDE)

    def on_pointer(self, event: PointerEvent) -> None:
        if event.action == "down":
            self.marks.append(Mark(self.pen, theme.BLUE))
        self.marks[-1].points.append((event.x, event.y))


def squiggle(number: int, size: tuple[int, int]) -> list[tuple[float, float]]:
    """A letter-sized stroke of 100 points somewhere on the page."""
    reach = size[1] / 12
    x = reach + (number * 0.618034 % 1) * (size[0] - 2 * reach)
    y = reach + (number * 0.414214 % 1) * (size[1] - 2 * reach)
    return [(x + reach * cos(i / 16), y + reach * sin(i / 11)) for i in range(STROKE)]


def frames(window: Window) -> list[float]:
    """Seconds of each of FRAMES frames in which the pen moves on."""
    width, height = window.size
    events = [pygame.event.Event(pygame.MOUSEBUTTONDOWN, pos=(200, 200), button=1, touch=False)]
    for i in range(2 * FRAMES):
        spot = (round(width / 2 + height / 5 * cos(i / 40)), round(height / 2 + height / 5 * sin(i / 25)))
        events.append(
            pygame.event.Event(pygame.MOUSEMOTION, pos=spot, rel=(0, 0), buttons=(1, 0, 0), touch=False)
        )
    window.step(events[:1], 1 / 60)
    spent = []
    for i in range(FRAMES):
        pair = events[1 + 2 * i : 3 + 2 * i]
        start = perf_counter()
        window.step(pair, 1 / 60)
        spent.append(perf_counter() - start)
    window.step([pygame.event.Event(pygame.MOUSEBUTTONUP, pos=(200, 200), button=1, touch=False)], 1 / 60)
    return spent


def main() -> None:
    """Print a table; the amounts of ink take turns, so that a slow moment of the machine hits all."""
    print(f"{'window':>12} {'points':>8} {'median ms':>10} {'95th ms':>8} {'ratio':>6}")
    for size in SIZES:
        spent: dict[int, list[float]] = {points: [] for points in POINTS}
        for _ in range(ROUNDS):
            for points in POINTS:
                window = Window(Paper(points, size), size=size)
                window.step([], 1 / 60)
                spent[points] += frames(window)
                window.close()
        base = median(spent[POINTS[0]])
        for points in POINTS:
            middle = median(spent[points])
            print(
                f"{size[0]:>7}x{size[1]} {points:>8,} {middle * 1e3:>10.3f} "
                f"{quantiles(spent[points], n=20)[-1] * 1e3:>8.3f} {middle / base:>6.2f}"
            )


if __name__ == "__main__":
    main()
