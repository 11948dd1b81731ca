"""A box in px."""

from __future__ import annotations

from typing import NamedTuple


class Rect(NamedTuple):
    """A box in px: left and top belong to it, right and bottom are just outside."""

    left: float
    top: float
    width: float
    height: float

    @property
    def right(self) -> float:
        """The first x to the right of the box."""
        return self.left + self.width

    @property
    def bottom(self) -> float:
        """The first y below the box."""
        return self.top + self.height

    @property
    def center(self) -> tuple[float, float]:
        """The middle of the box."""
        return self.left + self.width / 2, self.top + self.height / 2

    def contains(self, x: float, y: float) -> bool:
        """Whether the point lies in the box."""
        return self.left <= x < self.right and self.top <= y < self.bottom

    def inset(self, by: float) -> Rect:
        """The box with `by` px taken off each side (added, if negative); never less than nothing."""
        width, height = max(0.0, self.width - 2 * by), max(0.0, self.height - 2 * by)
        x, y = self.center
        return Rect(x - width / 2, y - height / 2, width, height)
