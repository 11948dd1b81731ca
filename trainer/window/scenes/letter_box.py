"""The box in which letters stand: paper, four lines, a letter to follow, starts and small arrows."""

from __future__ import annotations

from collections.abc import Collection, Iterable
from dataclasses import dataclass, replace

import numpy as np

from strokes.ink import Ink
from strokes.letter import Formation, GuideLines
from strokes.polyline import Polyline, arc_lengths, cut, length, points_at
from strokes.transform import Transform
from trainer.drawing import Drawing, Rect, arrows, lettering, theme
from trainer.window.scenes.buttons import WHITE
from trainer.window.scenes.layout import AIR, letter_space
from trainer.window.scenes.scene import Mark

PEN = 0.1
"""Width of ink and model strokes in x-heights."""

THIN = 0.5
"""The width of ink that has stepped back, as a share of what it was."""

RIM_MM = 0.25
"""The edge of a pale line: the pale color alone has too little contrast with paper (WCAG 1.4.11)."""

OUTER = 1.75
"""Radius of the ring around a start ring, as a share of the inner one's."""

STEADY = 0.15
"""X-heights between the points by which the direction of ink is read."""


@dataclass(frozen=True)
class LetterBox:
    """A box on the screen and the transform from letter space into it (px)."""

    rect: Rect
    guide: GuideLines
    transform: Transform

    @classmethod
    def around(cls, rect: Rect, guide: GuideLines, formation: Formation, limit: float) -> LetterBox:
        """A box for this formation, its x-height at most `limit` px."""
        return cls(rect, guide, letter_space(rect, guide, formation.bounds, limit))

    @property
    def unit(self) -> float:
        """One x-height in px."""
        return self.transform.scale_x

    @property
    def pen(self) -> float:
        """The width of strokes in px."""
        return max(3.0, self.unit * PEN)

    def paper(self, canvas: Drawing) -> None:
        """The paper and its four lines."""
        corner = min(self.rect.width, self.rect.height) * 0.04
        canvas.panel(self.rect, corner, WHITE, theme.PALE, max(1.0, canvas.mm(0.3)))
        air = self.rect.width * 0.03
        guide = lettering.placed(self.guide, self.transform)
        lettering.guide_lines(canvas, guide, self.rect.left + air, self.rect.right - air)

    def letter(self, canvas: Drawing, formation: Formation, color: str) -> None:
        """A formation; a pale one has an edge, to be seen."""
        if color == theme.PALE:
            edge = self.pen + 2 * max(1.0, canvas.mm(RIM_MM))
            lettering.formation(
                canvas, formation, self.transform, edge, theme.EDGE, numbers=False, arrows=False
            )
        lettering.formation(canvas, formation, self.transform, self.pen, color, numbers=False, arrows=False)

    def guided(self, canvas: Drawing, formation: Formation, color: str) -> None:
        """A formation with arrows that leave room for the rings at its starts."""
        self.letter(canvas, formation, color)
        lines = [self.transform.apply(stroke.path) for stroke in formation.strokes]
        for chevron in arrows.chevrons(lines, self.pen, self.unit, self._rings(formation)):
            chevron.draw(canvas, color)

    def ink(self, ink: Ink, *, back: Collection[int] = ()) -> list[Mark]:
        """Ink in letter space as marks in the box, so that it looks as it did under the pen.

        The traces that have stepped `back` come first and are thin and pale: they lie under the others.
        """
        marks = [
            Mark(
                self.pen * (THIN if number in back else 1.0),
                theme.STEPPED_BACK if number in back else theme.BLUE,
                [(float(x), float(y)) for x, y in trace.points],
            )
            for number, trace in enumerate(ink.transformed(self.transform).traces)
        ]
        return sorted(marks, key=lambda mark: mark.color == theme.BLUE)

    def starts(self, formation: Formation, strokes: Iterable[int] | None = None) -> list[arrows.Ring]:
        """The numbered rings where these strokes start (None: all); they stand above the ink."""
        rings = self._rings(formation)
        return rings if strokes is None else [rings[index] for index in strokes]

    def starts_of(self, ink: Ink, numbers: Iterable[int]) -> list[arrows.Ring]:
        """Rings with these numbers where the traces of ink start, in the color of ink."""
        lines, dots = self._lines_of(ink)
        rings = arrows.start_rings(lines, dots, self.pen, self.unit) if lines else []
        return [
            replace(ring, number=number, color=theme.BLUE)
            for ring, number in zip(rings, numbers, strict=True)
        ]

    def arrows_of(self, ink: Ink) -> list[Mark]:
        """Small arrows that tell in which direction ink was written, as marks to lie on it."""
        lines, dots = self._lines_of(ink)
        rings = arrows.start_rings(lines, dots, self.pen, self.unit) if lines else []
        return [
            Mark(chevron.width, chevron.color(theme.BLUE, theme.BLUE), chevron.line)
            for chevron in arrows.chevrons(lines, self.pen, self.unit, rings)
        ]

    def over_ink(self, formation: Formation, index: int, width: float) -> list[Mark]:
        """A stroke of a formation in this width, and its arrows, as marks to lie on ink."""
        line = self.transform.apply(formation.strokes[index].path)
        ring = self._rings(formation)[index]
        return [
            Mark(width, theme.BLACK, [(float(x), float(y)) for x, y in line]),
            *(
                Mark(chevron.width, chevron.color(theme.BLACK), chevron.line)
                for chevron in arrows.chevrons([line], self.pen, self.unit, [ring])
            ),
        ]

    def _lines_of(self, ink: Ink) -> tuple[list[Polyline], list[bool]]:
        """Ink in px without the trembling that would turn its arrows, and which traces are dots."""
        lines = [trace.points for trace in ink.transformed(self.transform).traces]
        dots = [float(np.ptp(line, axis=0).max()) < 2 * self.pen for line in lines]
        return [calm(line, STEADY * self.unit) for line in lines], dots

    def around_start(self, formation: Formation, index: int) -> Mark:
        """A second ring around the one where this stroke starts."""
        ring = self._rings(formation)[index]
        (x, y), reach = ring.center, ring.radius * OUTER
        turns = np.linspace(0, 2 * np.pi, 49)
        points = np.column_stack([x + reach * np.cos(turns), y + reach * np.sin(turns)])
        return Mark(ring.radius * 0.2, theme.VERMILLION, [(float(a), float(b)) for a, b in points])

    def caption(self, canvas: Drawing, words: str) -> None:
        """A small word in the upper left corner of the paper, above the lines."""
        size = min(canvas.mm(3.4), self.unit * AIR * 0.55)
        left, top = self.rect.left + self.rect.width * 0.03, self.rect.top
        room = Rect(left, top, self.rect.width * 0.4, self.unit * AIR)
        canvas.text(words, room, size, theme.QUIET, "left", wrap=False)

    def piece(
        self, canvas: Drawing, formation: Formation, index: int, share: tuple[float, float], color: str
    ) -> None:
        """A piece of one stroke with arrows in it that leave room for the ring at the stroke's start."""
        path = formation.strokes[index].path
        total = length(path)
        line = self.transform.apply(cut(path, share[0] * total, share[1] * total))
        canvas.line(line, self.pen, color)
        ring = self._rings(formation)[index]
        for chevron in arrows.chevrons([line], self.pen, self.unit, [ring]):
            chevron.draw(canvas, color)

    def _rings(self, formation: Formation) -> list[arrows.Ring]:
        lines = [self.transform.apply(stroke.path) for stroke in formation.strokes]
        dots = [stroke.is_dot for stroke in formation.strokes]
        return arrows.start_rings(lines, dots, self.pen, self.unit)


def calm(line: Polyline, step: float) -> Polyline:
    """Points of a line about `step` apart along it; both ends stay."""
    along = arc_lengths(line)
    count = max(2, round(float(along[-1]) / step) + 1)
    return points_at(line, along, np.linspace(0.0, along[-1], count))
