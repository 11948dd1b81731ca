"""What scenes and letters draw on, as a protocol, and the twin that only remembers, for tests."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field
from typing import Any, Literal, Protocol, TypeAlias

import numpy as np
from numpy.typing import NDArray

from trainer.drawing.coverage import Point
from trainer.drawing.theme import Metrics
from trainer.practice.events import Rect

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


@dataclass(frozen=True)
class Call:
    """One thing that was drawn: the method's name and what it was given."""

    name: str
    given: dict[str, Any]


@dataclass
class RecordingCanvas:
    """A Drawing that only remembers; words are measured with the real fonts, so layouts can be tested."""

    size: tuple[int, int] = (1280, 800)
    metrics: Metrics | None = None
    calls: list[Call] = field(default_factory=list)

    def _note(self, name: str, **given: Any) -> None:
        self.calls.append(Call(name, given))

    def named(self, name: str) -> list[Call]:
        """The calls of one method, in order."""
        return [call for call in self.calls if call.name == name]

    @property
    def texts(self) -> list[str]:
        """All words drawn, in order."""
        return [call.given["string"] for call in self.named("text")]

    def mm(self, millimeters: float) -> float:
        """Pixels for a length on the glass."""
        return (self.metrics or Metrics.of(self.size)).mm(millimeters)

    def fill(self, color: str) -> None:
        """Remember."""
        self._note("fill", color=color)

    def line(self, points: Points, width: float, color: str, dashed: bool = False) -> None:
        """Remember; points as a list of pairs."""
        pairs = [(float(x), float(y)) for x, y in points]
        self._note("line", points=pairs, width=width, color=color, dashed=dashed)

    def disc(self, center: Point, radius: float, color: str) -> None:
        """Remember."""
        self._note("disc", center=center, radius=radius, color=color)

    def ring(self, center: Point, radius: float, width: float, color: str) -> None:
        """Remember."""
        self._note("ring", center=center, radius=radius, width=width, color=color)

    def panel(
        self, rect: Rect, radius: float, color: str, border: str | None = None, border_width: float = 0
    ) -> None:
        """Remember."""
        self._note("panel", rect=rect, radius=radius, color=color, border=border, border_width=border_width)

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
        """Remember, with the box and the setting that a Canvas would have used."""
        from trainer.drawing.fonts import place  # only a test that measures words needs fonts

        setting, box = place(string, where, size, align, bold, wrap)
        self._note("text", string=string, where=where, size=size, color=color, box=box, setting=setting)
        return box
