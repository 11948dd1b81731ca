"""Letters and ink as SVG for the pages, drawn by the same code that draws them in the practice window.

Only presentation attributes are written, no styles: the pages' Content-Security-Policy allows no other.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from functools import lru_cache
from math import inf

from markupsafe import Markup

from strokes.letter import Formation, GuideLines, Letter
from strokes.transform import Transform
from trainer.attempt import Attempt
from trainer.drawing import Align, Point, Points, Rect, drawable, lettering, theme
from trainer.language import text

PEN = 0.15
"""Width of a model's strokes, in x-heights: a chevron finds room inside."""

INK = 0.09
"""Width of a child's ink, in x-heights: thinner than the model, so that they differ in gray too."""

MARGIN = 0.2
"""X-heights around the lines: a ring on the ascender line finds room, so letters side by side stand alike."""

_DIGIT = 0.56  # width of a figure as a share of its size


@lru_cache(maxsize=1024)
def letter_svg(
    formation: Formation,
    guide: GuideLines,
    *,
    size: float = 120,
    numbers: bool = True,
    arrows: bool = True,
    lines: bool = True,
    title: str = "",
) -> Markup:
    """A formation on its guide lines as an inline picture, `size` px high; its width follows the letter.

    Without a title it is hidden from screen readers, for places where words beside it say the letter.
    """
    sheet = Sheet()
    scale = _scale(guide, size)
    place = Transform(scale, scale, 0.0, 0.0)
    lettering.formation(sheet, formation, place, PEN * scale, theme.BLACK, numbers=numbers, arrows=arrows)
    return _picture(sheet, guide, scale, lines=lines, title=title)


def ink_svg(attempt: Attempt, letter: Letter, guide: GuideLines, *, size: float = 120) -> Markup:
    """The ink of an attempt on the guide lines it was written on, as large as the model of `letter_svg`.

    Ink that was erased for its age leaves empty lines, and the title says so. What runs far over the
    lines is drawn too: the picture grows, as far as `drawing.FARTHEST`.
    """
    sheet = Sheet()
    scale = _scale(guide, size)
    for trace in drawable(attempt.ink).traces:
        sheet.line(trace.points * scale, INK * scale, theme.BLUE)
    if not attempt.ink.traces:
        left, _, right, _ = letter.taught.bounds
        sheet.reach.take(left * scale, 0.0, 0.0)
        sheet.reach.take(right * scale, 0.0, 0.0)
    key = "ink" if attempt.ink.traces else "damaged" if attempt.unreadable else "no_ink"
    title = text(f"drawn.{key}", letter=letter.name)
    return _picture(sheet, guide, scale, lines=True, title=title)


@dataclass
class Reach:
    """The box around all that was drawn; empty at first."""

    left: float = inf
    top: float = inf
    right: float = -inf
    bottom: float = -inf

    def take(self, x: float, y: float, around: float) -> None:
        """Make room for a point and so much around it."""
        self.left, self.right = min(self.left, x - around), max(self.right, x + around)
        self.top, self.bottom = min(self.top, y - around), max(self.bottom, y + around)


@dataclass
class Sheet:
    """A Drawing whose lines, discs and words become elements of an SVG; px are the SVG's user units."""

    size: tuple[int, int] = (0, 0)
    elements: list[Markup] = field(default_factory=list)
    reach: Reach = field(default_factory=Reach)

    def mm(self, millimeters: float) -> float:
        """Pixels for a length on the glass: a CSS inch has 96."""
        return millimeters * 96 / 25.4

    def fill(self, color: str) -> None:
        """One color everywhere."""
        self._add('<rect width="100%" height="100%" fill="{}"/>', color)

    def line(self, points: Points, width: float, color: str, dashed: bool = False) -> None:
        """A line with round caps and joins; one point is a dot, no points are nothing."""
        corners = _thinned(points)
        if not corners:
            return
        for x, y in points:
            self.reach.take(float(x), float(y), width / 2)
        if len(corners) == 1:
            self.disc((float(corners[0][0]), float(corners[0][1])), width / 2, color)
            return
        way = " ".join(f"{x},{y}" for x, y in corners)
        dashes = Markup(' stroke-dasharray="{} {}"').format(_short(3 * width), _short(3 * width))
        self._add(
            '<polyline points="{}" fill="none" stroke="{}" stroke-width="{}"'
            ' stroke-linecap="round" stroke-linejoin="round"{}/>',
            way,
            color,
            _short(width),
            dashes if dashed else "",
        )

    def disc(self, center: Point, radius: float, color: str) -> None:
        """A filled circle."""
        self.reach.take(*center, radius)
        x, y, r = map(_short, (*center, radius))
        self._add('<circle cx="{}" cy="{}" r="{}" fill="{}"/>', x, y, r, color)

    def ring(self, center: Point, radius: float, width: float, color: str) -> None:
        """A circle's outline; `radius` is that of its middle line."""
        self.reach.take(*center, radius + width / 2)
        x, y, r, wide = map(_short, (*center, radius, width))
        self._add(
            '<circle cx="{}" cy="{}" r="{}" fill="none" stroke="{}" stroke-width="{}"/>', x, y, r, color, wide
        )

    def panel(
        self, rect: Rect, radius: float, color: str, border: str | None = None, border_width: float = 0
    ) -> None:
        """A box with rounded corners; the border lies inside it."""
        self.reach.take(rect.left, rect.top, 0.0)
        self.reach.take(rect.right, rect.bottom, 0.0)
        half = border_width / 2 if border else 0.0
        left, top = _short(rect.left + half), _short(rect.top + half)
        wide, high = _short(rect.width - 2 * half), _short(rect.height - 2 * half)
        self._add(
            '<rect x="{}" y="{}" width="{}" height="{}" rx="{}" fill="{}" stroke="{}" stroke-width="{}"/>',
            *(left, top, wide, high, _short(radius), color, border or "none", _short(border_width)),
        )

    def text(
        self,
        string: str,
        where: Rect | Point,
        size: float,
        color: str,
        align: Align = "center",
        bold: bool = False,
        wrap: bool = True,  # noqa: ARG002  # a Drawing has it; nothing wraps here
    ) -> Rect:
        """Figures and single words in the page's typeface; the box that is returned takes all as figures.

        Sentences belong to the page and not into a picture.
        """
        x, y = where.center if isinstance(where, Rect) else where
        if isinstance(where, Rect) and align == "left":
            x = where.left
        anchor = "middle" if align == "center" else "start"
        self._add(
            '<text x="{}" y="{}" font-size="{}" fill="{}" text-anchor="{}" font-weight="{}">{}</text>',
            *(_short(x), _short(y + 0.36 * size), _short(size), color, anchor),
            "bold" if bold else "normal",
            string,
        )
        wide = _DIGIT * size * len(string)
        return Rect(x - wide / 2 if align == "center" else x, y - size / 2, wide, size)

    def _add(self, element: str, *values: object) -> None:
        self.elements.append(Markup(element).format(*values))


def _scale(guide: GuideLines, size: float) -> float:
    return size / (guide.descender - guide.ascender + 2 * MARGIN)


def _picture(sheet: Sheet, guide: GuideLines, scale: float, *, lines: bool, title: str) -> Markup:
    """The sheet with its guide lines beneath, cut to what was drawn and to the four lines."""
    margin, reach = MARGIN * scale, sheet.reach
    left, right = reach.left - margin, reach.right + margin
    top = min(guide.ascender * scale - margin, reach.top)
    bottom = max(guide.descender * scale + margin, reach.bottom)
    ruled = Sheet()
    if lines:
        placed = lettering.placed(guide, Transform(scale, scale, 0.0, 0.0))
        lettering.guide_lines(ruled, placed, left, right)
    return Markup(
        '<svg xmlns="http://www.w3.org/2000/svg" width="{}" height="{}" viewBox="{} {} {} {}"{}>{}{}</svg>'
    ).format(
        *map(_short, (right - left, bottom - top, left, top, right - left, bottom - top)),
        Markup(' role="img"') if title else Markup(' aria-hidden="true"'),
        Markup("<title>{}</title>").format(title) if title else "",
        Markup("").join([*ruled.elements, *sheet.elements]),
    )


def _thinned(points: Points) -> list[tuple[str, str]]:
    """The points to a tenth of a px, without those that fall onto the one before."""
    corners: list[tuple[str, str]] = []
    for x, y in points:
        corner = _short(x), _short(y)
        if not corners or corners[-1] != corner:
            corners.append(corner)
    return corners


def _short(number: float) -> str:
    return f"{round(float(number), 1) + 0.0:g}"  # adding 0 takes the sign off a zero
