"""What scenes and letters draw on, as a protocol, and the twin that only remembers, for tests."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Literal, Protocol, TypeAlias

import numpy as np
from numpy.typing import NDArray

from trainer.drawing.coverage import Point
from trainer.drawing.rect import Rect

Points: TypeAlias = Sequence[Point] | NDArray[np.float64]
Align: TypeAlias = Literal["center", "left"]


class Drawing(Protocol):
    """What scenes and letters draw on: a Canvas, or its recording twin in tests."""

    @property
    def size(self) -> tuple[int, int]:
        """Width and height in px."""

    def mm(self, millimeters: float) -> float:
        """Pixels for a length on the glass."""

    def fill(self, color: str) -> None:
        """One color everywhere."""

    def line(self, points: Points, width: float, color: str, dashed: bool = False) -> None:
        """A line with round caps and joins; one point is a dot, no points are nothing."""

    def disc(self, center: Point, radius: float, color: str) -> None:
        """A filled circle."""

    def ring(self, center: Point, radius: float, width: float, color: str) -> None:
        """A circle's outline; `radius` is that of its middle line."""

    def panel(
        self, rect: Rect, radius: float, color: str, border: str | None = None, border_width: float = 0
    ) -> None:
        """A box with rounded corners; the border lies inside it."""

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
        """Words, in the middle of a box or at a point; returns the box that they take.

        In a box they wrap and then shrink until they fit. At a point nothing limits them: y is their
        middle, and x their middle or their left edge.
        """
