"""What happened in the window, in the window's own pixels: pointer and key events, and the rectangle.

Scenes know these and never pygame. One pointer at a time: second touches and palms never get here.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal, NamedTuple, TypeAlias

Action: TypeAlias = Literal["down", "move", "up", "cancel"]
PointerKind: TypeAlias = Literal["touch", "pen", "mouse"]


@dataclass(frozen=True)
class PointerEvent:
    """The pointer came down, moved while down, was lifted, or was lost (`cancel`) at x, y (px).

    `time` is in seconds on a clock that never runs backwards; only differences mean something.
    """

    action: Action
    x: float
    y: float
    time: float
    kind: PointerKind = "mouse"


@dataclass(frozen=True)
class KeyEvent:
    """A key was pressed; `key` is its lower-case name, as in "a", "space", "escape", "f11"."""

    key: str


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
