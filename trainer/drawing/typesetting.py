"""Breaking words into lines and finding the size at which they fit a box: pure, fonts are handed in."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import TypeAlias

Measure: TypeAlias = Callable[[str, int], float]
"""The width in px of a string at a font size in px."""

LINE_HEIGHT = 1.25
"""Distance of base lines, in font sizes."""

SMALLEST = 7
"""Px; below this nothing can be read, so shrinking ends here even where the box is too small."""


@dataclass(frozen=True)
class Setting:
    """A text as it will be drawn: its lines, font size, and the width and height it takes in px."""

    lines: tuple[str, ...]
    size: int
    width: float
    height: float


def fit(
    string: str, size: float, measure: Measure, *, width: float, height: float, wrap: bool = True
) -> Setting:
    """`string` at `size` or the largest smaller size at which it fits `width` x `height`.

    Line breaks in the string are kept. With `wrap` long lines are broken at spaces, never in a word.
    """
    low, high = SMALLEST, max(SMALLEST, round(size))
    best = broken(string, high, measure, width if wrap else None)
    if _fits(best, width, height):
        return best
    while low < high:
        middle = (low + high) // 2
        if _fits(broken(string, middle, measure, width if wrap else None), width, height):
            low = middle + 1
        else:
            high = middle
    return broken(string, max(SMALLEST, low - 1), measure, width if wrap else None)


def broken(string: str, size: int, measure: Measure, width: float | None) -> Setting:
    """`string` at exactly `size`, broken at spaces to `width` where one is given."""
    lines = [line for row in string.split("\n") for line in _wrapped(row, size, measure, width)]
    widest = max((measure(line, size) for line in lines), default=0.0)
    return Setting(tuple(lines), size, widest, size * LINE_HEIGHT * len(lines))


def _wrapped(row: str, size: int, measure: Measure, width: float | None) -> list[str]:
    if width is None or measure(row, size) <= width:
        return [row]
    lines, current = [], ""
    for word in row.split():
        longer = f"{current} {word}" if current else word
        if current and measure(longer, size) > width:
            lines.append(current)
            current = word
        else:
            current = longer
    return [*lines, current]


def _fits(setting: Setting, width: float, height: float) -> bool:
    return setting.width <= width + 0.5 and setting.height <= height + 0.5
