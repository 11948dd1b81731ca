"""Ruled lines on paper: how high they are, and how they are drawn."""

from __future__ import annotations

from dataclasses import dataclass

from strokes.letter import GuideLines
from strokes.transform import Transform
from trainer.drawing import lettering, theme
from trainer.errors import UsageError
from trainer.paper.canvas import Canvas
from trainer.paper.document import Document, Paper

BY_AGE = {4: 29.0, 5: 29.0, 6: 16.0, 7: 13.0}
"""Millimeters from base line to ascender line by age in years: 1 1/8, 5/8 and 1/2 inch; common practice, no
source."""

USUAL_AGE = 5

LOWEST, HIGHEST = 6.0, 60.0
"""Bounds of a ruled height in mm: a pencil's point is too blunt for less, and more is no line to write on."""

BASE, OTHER = 0.55, 0.3
"""Least widths in mm of the base line and of the other lines."""

BASE_SHARE, OTHER_SHARE = 1 / 36, 1 / 60
"""The same in x-heights, for what is read across a room."""


@dataclass(frozen=True)
class Ruling:
    """The paper and the ruled height, from base line to ascender line, in mm.

    Raises UsageError for a height out of bounds.
    """

    paper: Paper
    height: float = BY_AGE[USUAL_AGE]

    def __post_init__(self) -> None:
        if not LOWEST <= self.height <= HIGHEST:
            raise UsageError(
                f"the ruled height must be {LOWEST:g} to {HIGHEST:g} millimeters, not {self.height:g}"
            )

    def unit(self, guide: GuideLines) -> float:
        """One x-height of an alphabet with these guide lines, in mm."""
        return self.height / guide.above


def rule(
    document: Document, canvas: Canvas, guide: GuideLines, base: float, unit: float, left: float, right: float
) -> None:
    """The four lines, the base line at y = `base`; `unit` is an x-height, all in mm.

    They are told apart as in the window: the base line is heavy, the x-height line dashed, the ascender line
    thin and the descender line dotted.
    """
    mm = canvas.mm
    lines = lettering.placed(guide, Transform(mm(unit), mm(unit), 0.0, mm(base)))
    start, end = mm(left), mm(right)
    heavy, thin = mm(max(BASE, BASE_SHARE * unit)), mm(max(OTHER, OTHER_SHARE * unit))
    with document.decoration():
        canvas.line([(start, lines.ascender), (end, lines.ascender)], thin, theme.GUIDE)
        canvas.line([(start, lines.x_height), (end, lines.x_height)], thin, theme.GUIDE, dashed=True)
        canvas.line([(start, lines.baseline), (end, lines.baseline)], heavy, theme.GUIDE)
        canvas.dots((start, lines.descender), (end, lines.descender), heavy, theme.GUIDE)
