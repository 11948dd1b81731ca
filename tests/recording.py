"""A canvas that only remembers what was drawn on it."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import Any

from trainer.drawing.coverage import Point
from trainer.drawing.raster.fonts import place
from trainer.drawing.rect import Rect
from trainer.drawing.surface import Align, Points
from trainer.drawing.theme import Metrics


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
        setting, box = place(string, where, size, align, bold, wrap)
        self._note("text", string=string, where=where, size=size, color=color, box=box, setting=setting)
        return box
