"""What letters are drawn with on paper: lines as vectors, curves as the Béziers they are.

A pixel of this `Drawing` is a point, 1/72 inch, the unit of a PDF: what a screen draws at least one px wide
is a visible line here too. Paths are written as the operators of PDF itself (ISO 32000, 8.5): a sheet has
thousands, and fpdf2's own paths take some times the time and the bytes.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from strokes.curves import Curves
from strokes.letter import Stroke
from strokes.polyline import Polyline
from strokes.transform import Transform
from trainer.drawing import Align, Point, Points, Rect, rgb
from trainer.paper.document import POINT, Document

DASH, DOT = 3.0, 2.5
"""A dash and the gap after it in widths of its line; the distance of dots in points."""

_ROUND = 4 / 3 * (2**0.5 - 1)
"""Length of the handles of a quarter of a circle, in radii."""


class Canvas:
    """A Drawing on the page that a document is at."""

    def __init__(self, document: Document) -> None:
        self._document = document

    @property
    def size(self) -> tuple[int, int]:
        """Width and height of the page in points."""
        return round(self._document.w / POINT), round(self._document.h / POINT)

    def mm(self, millimeters: float) -> float:
        """Points for a length on the paper."""
        return millimeters / POINT

    def fill(self, color: str) -> None:
        """One color everywhere."""
        self.panel(Rect(0, 0, *self.size), 0, color)

    def line(self, points: Points, width: float, color: str, dashed: bool = False) -> None:
        """A line with round caps and joins; one point is a dot, no points are nothing."""
        if len(points):
            dashes = f"[{_number(DASH * width)}] 0 d" if dashed else ""
            self._stroke(self._lines(points), width, color, dashes)

    def dots(self, start: Point, end: Point, width: float, color: str) -> None:
        """A dotted line."""
        self._stroke(self._lines([start, end]), width, color, f"[0 {_number(DOT)}] 0 d")

    def stroke(self, stroke: Stroke, transform: Transform, width: float, color: str) -> None:
        """A letter's stroke by its own curves, where `transform` puts it from letter space."""
        if stroke.curves is None:
            self.line(transform.apply(stroke.path), width, color)
        else:
            self._stroke(self._curves(stroke.curves, transform), width, color)

    def disc(self, center: Point, radius: float, color: str) -> None:
        """A filled circle."""
        self._document.path(f"{_color(color)} rg", *self._circle(center, radius), "f")

    def ring(self, center: Point, radius: float, width: float, color: str) -> None:
        """A circle's outline; `radius` is that of its middle line."""
        self._stroke(self._circle(center, radius), width, color)

    def panel(
        self,
        rect: Rect,
        radius: float,  # noqa: ARG002  # a Drawing has it; a box on paper has sharp corners
        color: str,
        border: str | None = None,
        border_width: float = 0,
    ) -> None:
        """A box; the border lies inside it."""
        inner = rect.inset(border_width / 2 if border else 0)
        corner, size = (
            self._pair((inner.left, inner.bottom)),
            f"{_number(inner.width)} {_number(inner.height)}",
        )
        edge = (f"{_color(border)} RG", f"{_number(border_width)} w") if border else ()
        self._document.path(f"{_color(color)} rg", *edge, f"{corner} {size} re", "B" if border else "f")

    def text(
        self,
        string: str,
        where: Rect | Point,
        size: float,
        color: str,
        align: Align = "center",  # noqa: ARG002  # figures stand in the middle of their place
        bold: bool = False,
        wrap: bool = True,  # noqa: ARG002  # a Drawing has it; nothing wraps here
    ) -> Rect:
        """A figure or a single word in the middle of a place: sentences are the document's."""
        x, y = where.center if isinstance(where, Rect) else where
        wide = self._document.word(string, x * POINT, y * POINT, size=size, bold=bold, color=color) / POINT
        return Rect(x - wide / 2, y - size / 2, wide, size)

    def _stroke(self, way: Iterable[str], width: float, color: str, dashes: str = "") -> None:
        """A path as a line with round caps and joins."""
        self._document.path(f"1 J 1 j {_color(color)} RG {_number(width)} w", dashes, *way, "S")

    def _lines(self, points: Points) -> Iterable[str]:
        yield f"{self._pair(points[0])} m"
        for point in points[1:] if len(points) > 1 else points:
            yield f"{self._pair(point)} l"

    def _curves(self, curves: Curves, transform: Transform) -> Iterable[str]:
        segments = transform.apply(curves.segments.reshape(-1, 2)).reshape(-1, 4, 2)
        yield f"{self._pair(segments[0, 0])} m"
        for segment, straight in zip(segments, curves.straight, strict=True):
            yield " ".join(map(self._pair, segment[3:] if straight else segment[1:])) + (
                " l" if straight else " c"
            )

    def _circle(self, center: Point, radius: float) -> Iterable[str]:
        (x, y), handle = center, radius * _ROUND
        yield f"{self._pair((x + radius, y))} m"
        for across, along in ((1, 0), (0, 1), (-1, 0), (0, -1)):
            # from (across, along) a quarter further, as the clock runs
            end = (x - radius * along, y + radius * across)
            start = (x + radius * across, y + radius * along)
            first = (start[0] - handle * along, start[1] + handle * across)
            second = (end[0] + handle * across, end[1] + handle * along)
            yield f"{self._pair(first)} {self._pair(second)} {self._pair(end)} c"

    def _pair(self, point: Sequence[float] | Polyline) -> str:
        """A point as a PDF has it: y grows upward from the lower edge."""
        return f"{_number(point[0])} {_number(self._document.h / POINT - point[1])}"


def _number(value: float) -> str:
    """To a thousandth of a point: 0.4 micrometers."""
    return f"{value:.3f}".rstrip("0").rstrip(".")


def _color(color: str) -> str:
    return " ".join(_number(byte / 255) for byte in rgb(color))
