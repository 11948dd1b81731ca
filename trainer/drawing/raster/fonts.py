"""The typeface of all words, by size, and where a string goes in a box."""

from __future__ import annotations

from functools import lru_cache

from trainer.drawing.coverage import Point
from trainer.drawing.rect import Rect
from trainer.drawing.surface import Align
from trainer.drawing.typeface import face_file
from trainer.drawing.typesetting import Setting, broken, fit
from trainer.pygame_start import pygame


@lru_cache(maxsize=64)
def font(size: int, bold: bool) -> pygame.font.Font:
    """The typeface at a size in px. Raises FileNotFoundError where it is not installed."""
    if not pygame.font.get_init():
        pygame.font.init()
    path = face_file("semibold" if bold else "regular")
    if path is None:
        raise FileNotFoundError("the package font-source-sans-pro must be installed, and is not")
    return pygame.font.Font(path, size)


def measure(string: str, size: int, bold: bool) -> float:
    """The width of a string in px."""
    return float(font(size, bold).size(string)[0])


def place(
    string: str, where: Rect | Point, size: float, align: Align, bold: bool, wrap: bool
) -> tuple[Setting, Rect]:
    """The lines that `Canvas.text` draws and the box that they take."""

    def width_of(row: str, at: int) -> float:
        return measure(row, at, bold)

    if isinstance(where, Rect):
        setting = fit(string, size, width_of, width=where.width, height=where.height, wrap=wrap)
        middle = where.center
        left = where.left if align == "left" else middle[0] - setting.width / 2
    else:
        setting = broken(string, max(1, round(size)), width_of, None)
        middle = where
        left = middle[0] if align == "left" else middle[0] - setting.width / 2
    return setting, Rect(left, middle[1] - setting.height / 2, setting.width, setting.height)
