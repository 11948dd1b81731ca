"""A word's sound boxes in a row between one set of guide lines, a cell for each letter."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise
from typing import TYPE_CHECKING

from strokes.alphabet import Alphabet
from strokes.transform import Transform
from trainer.drawing import Drawing, Metrics, Rect, lettering, theme
from trainer.window.scenes.buttons import WHITE
from trainer.window.scenes.layout import AIR, UNIT_MM, row
from trainer.window.scenes.letter_box import LetterBox

if TYPE_CHECKING:
    from trainer.wordbank import Word

NARROWEST = 1.55
"""Width of a cell, in x-heights; a wider letter has more."""
BESIDE = 0.75
"""X-heights in a cell beside its letter, both sides together."""
BETWEEN = 0.22
"""X-heights between two boxes."""
LEAST_MM = 11.0
"""The least x-height: where a long word needs more room than there is, the row moves along under the pen."""


@dataclass(frozen=True)
class WordRow:
    """The cells of a word's letters in order, and the frames of its boxes, each with its cells (px).

    Letters outside of the boxes, a silent e and those of a name, have no frame. What of a long word is
    outside of `rect` is not shown: the row stands so that the letter in hand is.
    """

    rect: Rect
    cells: tuple[LetterBox, ...]
    frames: tuple[Rect, ...]
    framed: tuple[tuple[int, ...], ...]

    @classmethod
    def around(
        cls,
        rect: Rect,
        alphabet: Alphabet,
        word: Word,
        metrics: Metrics,
        place: int = 0,
        *,
        least_mm: float = 0.0,
    ) -> WordRow:
        """The row in `rect`; one to write in has an x-height of `least_mm`, the cell at `place` in sight."""
        guide = alphabet.guide
        bounds = [alphabet[letter].taught.bounds for letter in word.text]
        top = min(guide.ascender, *(box[1] for box in bounds))
        bottom = max(guide.descender, *(box[3] for box in bounds))
        wide = [max(NARROWEST, right - left + BESIDE) for left, _, right, _ in bounds]
        gaps = [BETWEEN if apart else 0.0 for apart in _apart(word)]
        total = sum(wide) + sum(gaps)
        unit = min(metrics.true_mm(UNIT_MM), rect.height / (bottom - top + 2 * AIR), rect.width / total)
        unit = max(unit, min(metrics.mm(least_mm), rect.height / (bottom - top + 2 * AIR)))
        lefts = [0.0]
        for width, gap in zip(wide, gaps, strict=False):
            lefts.append(lefts[-1] + width + gap)
        start = _start(rect, total * unit, (lefts[place] + wide[place] / 2) * unit)
        y = rect.center[1] - unit * (top + bottom) / 2
        high = min(rect.height, unit * (bottom - top + 2 * AIR))
        cells = []
        for left, width, (first, _, last, _) in zip(lefts, wide, bounds, strict=False):
            x = start + (left + width / 2) * unit
            cell = Rect(start + left * unit, rect.center[1] - high / 2, width * unit, high)
            cells.append(LetterBox(cell, guide, Transform(unit, unit, x - unit * (first + last) / 2, y)))
        framed = _framed(word)
        frames = [_joined([cells[k].rect for k in own]) for own in framed]
        return cls(rect, tuple(cells), tuple(frames), framed)

    @property
    def shown(self) -> tuple[int, ...]:
        """The places of the letters whose cells are in sight."""
        return tuple(k for k, cell in enumerate(self.cells) if self._holds(cell.rect))

    def frame_of(self, place: int) -> int | None:
        """The number of the box in which a letter stands; None outside of all."""
        return next((number for number, own in enumerate(self.framed) if place in own), None)

    def paper(self, canvas: Drawing, *, now: int | None = None, chunk: Sequence[int] = ()) -> None:
        """The boxes between the lines; that of the letter `now` has a strong frame, the chunk a bracket."""
        thin = max(1.0, canvas.mm(0.4))
        here = None if now is None else self.frame_of(now)
        for number, frame in enumerate(self.frames):
            if self._holds(frame):
                edge = theme.TEXT if number == here else theme.EDGE
                corner = min(frame.width, frame.height) * 0.08
                canvas.panel(frame, corner, WHITE, edge, thin * (2.5 if number == here else 1))
        seen = [self.cells[k] for k in self.shown]
        if not seen:
            return
        if now is not None and here is None:
            cell = self.cells[now].rect
            canvas.line([(cell.left, cell.bottom), (cell.right, cell.bottom)], thin * 2.5, theme.TEXT)
        guide = lettering.placed(seen[0].guide, seen[0].transform)
        lettering.guide_lines(canvas, guide, seen[0].rect.left, seen[-1].rect.right)
        self._bracket(canvas, [self.cells[k].rect for k in chunk if k in self.shown], thin * 2)

    def _bracket(self, canvas: Drawing, cells: Sequence[Rect], width: float) -> None:
        """A bracket under some cells: this part of the word is known."""
        if cells:
            left, right = cells[0].left + width * 2, cells[-1].right - width * 2
            y, tick = cells[0].bottom + width * 3, width * 2
            canvas.line([(left, y - tick), (left, y), (right, y), (right, y - tick)], width, theme.VERMILLION)

    def _holds(self, box: Rect) -> bool:
        return box.left >= self.rect.left - 1 and box.right <= self.rect.right + 1


def _framed(word: Word) -> tuple[tuple[int, ...], ...]:
    """The places of the letters of each box, in order."""
    places = word.places
    return tuple(
        tuple(k for k, box in enumerate(places) if box == number) for number in range(len(word.boxes))
    )


def _apart(word: Word) -> list[bool]:
    """For each letter but the last whether the next one stands in another box, or outside."""
    return [box is None or box != after for box, after in pairwise(word.places)]


def _start(rect: Rect, total: float, middle: float) -> float:
    """Where a row that is `total` wide begins, so that the place `middle` of it is in sight."""
    if total <= rect.width:
        return rect.left + (rect.width - total) / 2
    return rect.left + max(rect.width - total, min(0.0, rect.width / 2 - middle))


def _joined(cells: Sequence[Rect]) -> Rect:
    first, last = cells[0], cells[-1]
    return Rect(first.left, first.top, last.right - first.left, first.height)


def counters(canvas: Drawing, rect: Rect, count: int, most: float) -> None:
    """A disc for each sound that was counted, in a row; a place for one is at most so many px wide."""
    for place in row(rect, count, most) if count else ():
        canvas.disc(place.center, place.width * 0.36, theme.BLUE)
