"""Maps between letter space and any other space: a scale for each axis and a shift, nothing turned."""

from __future__ import annotations

from dataclasses import dataclass
from math import isfinite

from strokes.errors import InkError
from strokes.polyline import Polyline


@dataclass(frozen=True)
class Transform:
    """Takes a point p to p · scale + shift, axis by axis. A negative x scale mirrors."""

    scale_x: float = 1.0
    scale_y: float = 1.0
    shift_x: float = 0.0
    shift_y: float = 0.0

    def __post_init__(self) -> None:
        try:
            finite = isfinite(sum(self.numbers)) or all(map(isfinite, self.numbers))  # a sum may be too large
        except (TypeError, OverflowError):  # no number, or a whole one beyond every float
            finite = False
        if not finite or self.scale_x == 0 or self.scale_y == 0:
            raise InkError(f"a transform must be finite and must not flatten, not {str(self.numbers)[:80]}")

    @property
    def numbers(self) -> tuple[float, float, float, float]:
        """The scales, x and y, and the shifts."""
        return self.scale_x, self.scale_y, self.shift_x, self.shift_y

    def apply(self, line: Polyline) -> Polyline:
        """`line` on the other side: a new (n, 2) array."""
        return line * (self.scale_x, self.scale_y) + (self.shift_x, self.shift_y)

    def at(self, x: float, y: float) -> tuple[float, float]:
        """One place on the other side."""
        return x * self.scale_x + self.shift_x, y * self.scale_y + self.shift_y

    def inverse(self) -> Transform:
        """The way back."""
        return Transform(
            1 / self.scale_x,
            1 / self.scale_y,
            -self.shift_x / self.scale_x,
            -self.shift_y / self.scale_y,
        )

    def back_at(self, x: float, y: float) -> tuple[float, float]:
        """One place taken the way back."""
        across, down = 1 / self.scale_x, 1 / self.scale_y
        return x * across - self.shift_x / self.scale_x, y * down - self.shift_y / self.scale_y

    def then(self, after: Transform) -> Transform:
        """This one first, then `after`, as one."""
        return Transform(
            self.scale_x * after.scale_x,
            self.scale_y * after.scale_y,
            self.shift_x * after.scale_x + after.shift_x,
            self.shift_y * after.scale_y + after.shift_y,
        )
