"""What happened in the window, in the window's own pixels: pointer and key events.

Scenes know these and never pygame. One pointer at a time: second touches and palms never get here.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal, TypeAlias

Action: TypeAlias = Literal["down", "move", "up", "cancel"]
PointerKind: TypeAlias = Literal["touch", "pen", "mouse"]

Tallied: TypeAlias = Literal[
    "touch", "mouse", "pen", "hover", "second", "elsewhere", "wide", "beside_pen", "echo"
]
"""What is counted: pointers that came, moves above the screen; and why something was refused."""


@dataclass(frozen=True)
class PointerEvent:
    """The pointer came down, moved while down, was lifted, or was lost (`cancel`) at x, y (px).

    `time` is in seconds on a clock that never runs backwards; only differences mean something. `pressure` is
    0 to 1 and `tilt` degrees to the right and toward the writer, where the device tells them.
    """

    action: Action
    x: float
    y: float
    time: float
    kind: PointerKind = "mouse"
    pressure: float | None = None
    tilt: tuple[float, float] | None = None


@dataclass(frozen=True)
class KeyEvent:
    """A key was pressed; `key` is its lower-case name, as in "a", "space", "escape", "f11"."""

    key: str
