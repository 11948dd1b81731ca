"""Practice sheets: the taught strokes large, then to trace, then their starts only, then empty lines."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import chain, repeat
from typing import Literal, TypeAlias

from strokes.alphabet import Alphabet
from strokes.letter import Hand
from trainer.attempt import NAME_LENGTH
from trainer.drawing import theme
from trainer.errors import UsageError
from trainer.language import listed, text
from trainer.paper.canvas import Canvas
from trainer.paper.document import Document
from trainer.paper.pieces import Piece
from trainer.paper.ruling import Ruling, rule

Row: TypeAlias = Literal["trace", "starts", "empty"]

MARGIN = 14.0
"""Mm of paper on every side that printers leave white, and a little more."""

HEAD, FOOT = 16.0, 9.0
"""Mm of the line for the name, and of the words below all rows."""

LARGEST, LARGE_SHARE = 2.0, 0.3
"""The model is at most so many times as large as a row, and takes at most this share of the room. It gives
way to one row of each kind, as far as the size of a row."""

BELOW_MODEL = 4.0
"""Mm of white below the model, besides what is between two rows."""

BESIDE = 0.55
"""Share of the width that the cues beside a model need at least."""

ROW_GAP = 0.35
"""X-heights of white between two rows."""

APART = 1.1
"""X-heights between a piece and the next one in a row."""

INDENT = 0.5
"""X-heights before the first piece of a row: a ring on its left finds room."""

ROWS = 3
"""Rows of a sheet at least, one of each kind. In an alphabet with lines so far apart that no row finds room
on a page, a sheet ends after as many pages."""

MOST_SHEETS = 1000
"""Sheets of one PDF: a class has some hundred, and more is a slip that keeps the machine busy for minutes."""

RULER = 50
"""Mm of the line by which a printout is measured."""


@dataclass(frozen=True)
class Sheet:
    """What one sheet is for: what is written on it, in which alphabet, by which hand, and whose it is.

    Raises UsageError for nothing to write, and for more than a line holds.
    """

    written: str
    alphabet: Alphabet
    hand: Hand | None = None
    name: str = ""

    def __post_init__(self) -> None:
        if not 0 < len(self.written.strip()) <= NAME_LENGTH:
            raise UsageError(
                f"what is practiced on a sheet must be 1 to {NAME_LENGTH} characters, "
                f"not {self.written[:NAME_LENGTH]!r}"
            )


def practice_sheets(sheets: Sequence[Sheet], ruling: Ruling, *, copies: int = 1) -> Document:
    """The sheets one after the other, each `copies` times; each begins on a page of its own.

    A word that is too wide for the paper is ruled lower, and the foot of its page says how high. What of a
    word or a name cannot be drawn leaves a gap, and the page says so. Raises UsageError for too many sheets.
    """
    if len(sheets) * copies > MOST_SHEETS:
        raise UsageError(
            f"there must be at most {MOST_SHEETS} sheets in one PDF, not {len(sheets) * copies}; "
            "ask for fewer copies"
        )
    document = Document(_title(sheets), ruling.paper)
    for sheet in chain.from_iterable(repeat(sheets, copies)):
        _SheetPages(document, sheet, ruling).draw()
    return document


class _SheetPages:
    """The pages of one sheet."""

    def __init__(self, document: Document, sheet: Sheet, ruling: Ruling) -> None:
        self.document, self.canvas, self.sheet = document, Canvas(document), sheet
        self.piece = Piece(sheet.written, sheet.alphabet)
        self.guide = sheet.alphabet.guide
        self.left, self.right = MARGIN, document.w - MARGIN
        widest = (self.right - self.left) / (self.piece.width + 2 * INDENT)
        self.unit = min(ruling.unit(self.guide), widest)
        self.bottom = document.h - MARGIN - FOOT

    def draw(self) -> None:
        """The model, then the rows, on as many pages as each kind of row at least once needs."""
        top, first = self._new_page(), self.document.page
        if self.piece.letters:
            top = self._model(top)
        rows = list(_rows(self._room(top)))
        while True:
            room = self._room(top)
            for row in rows[:room]:
                self._row(row if self.piece.letters else "empty", top)
                top += self._row_height
            self._foot()
            rows = rows[room:]
            if not rows or self.document.page - first > ROWS:
                return
            top = self._new_page()
            rows += ["empty"] * (self._room(top) - len(rows))

    def _room(self, top: float) -> int:
        """How many rows find room below y = `top`."""
        return max(0, int((self.bottom - top + ROW_GAP * self.unit) / self._row_height + 1e-9))

    @property
    def _is_left(self) -> bool:
        return self.sheet.hand == "left"

    @property
    def _above(self) -> float:
        """X-heights from the base line up to what is highest, with room for the pen and a ring."""
        return max(-self.guide.ascender, -self.piece.top) + 0.2

    @property
    def _row_height(self) -> float:
        return (self._above + self.guide.descender + ROW_GAP) * self.unit

    def _new_page(self) -> float:
        """A page with the line for the name and its foot; gives back the y below the line."""
        document = self.document
        document.add_page()
        line = MARGIN + 7
        label, date = text("paper.sheet.name"), text("paper.sheet.date")
        half = self.left + 0.66 * (self.right - self.left)
        for words, start, end in ((label, self.left, half - 6), (date, half, self.right)):
            wide = document.width_of(words, size=10) + 2
            document.say(words, start, line - 4.2, wide, size=10, color=theme.QUIET)
            with document.decoration():
                mm = self.canvas.mm
                self.canvas.line([(mm(start + wide), mm(line)), (mm(end), mm(line))], mm(0.3), theme.QUIET)
            if words == label and self.sheet.name and document.can_print(self.sheet.name):
                name, room = self.sheet.name, end - start - wide - 2
                size = min(15.0, 0.98 * 15.0 * room / document.width_of(name, size=15, bold=True))
                document.say(name, start + wide + 2, line - 0.43 * size, room, size=size, bold=True)
        return MARGIN + HEAD

    def _foot(self) -> None:
        document, y = self.document, self.document.h - MARGIN - 4
        height = f"{self.unit * self.guide.above:.1f}".removesuffix(".0")
        said = [text("paper.sheet.foot", alphabet=self.sheet.alphabet.name, height=height)]
        if self.piece.missing:
            said.append(text("paper.sheet.missing"))
        mm, start = self.canvas.mm, self.right - RULER
        below = document.say(
            " ".join(said), self.left, y - 1, start - self.left - 6, size=8, color=theme.QUIET
        )
        assert below <= document.h
        measure = text("paper.sheet.ruler", length=RULER)
        document.say(measure, start, y - 4.2, RULER, size=8, color=theme.QUIET, align="C")
        with document.decoration():
            for x, half in ((start, 1.2), (self.right, 1.2)):
                self.canvas.line([(mm(x), mm(y - half)), (mm(x), mm(y + half))], mm(0.2), theme.QUIET)
            self.canvas.line([(mm(start), mm(y)), (mm(self.right), mm(y))], mm(0.2), theme.QUIET)

    def _model(self, top: float) -> float:
        """The taught strokes large, with the cues of a single letter beside them; gives back the y below."""
        guide, piece = self.guide, self.piece
        wide = (self.right - self.left) * (1 - BESIDE if piece.is_letter else 1.0)
        between = ROW_GAP * self.unit + BELOW_MODEL
        room = self.bottom - top
        high = min(LARGE_SHARE * room, room - between - (ROWS * self._row_height - ROW_GAP * self.unit))
        reach = self._above + guide.descender
        unit = min(LARGEST * self.unit, high / reach, wide / (piece.width + 2 * INDENT))
        unit = max(unit, self.unit)
        width = (piece.width + 2 * INDENT) * unit
        left = self.right - width if self._is_left else self.left
        base = top + self._above * unit
        rule(self.document, self.canvas, guide, base, unit, left, left + width)
        with self.document.tagged("Figure", self._said("model")):
            piece.draw(self.canvas, left + INDENT * unit, base, unit, "model")
        bottom = base + guide.descender * unit
        if piece.is_letter:
            cues = self.left if self._is_left else left + width + 8
            self._cues(cues, base - 2 * unit, self.right - self.left - width - 8)
        return bottom + between

    def _cues(self, left: float, top: float, width: float) -> None:
        """How the pen goes, stroke by stroke, in the words that are said in the window."""
        (letter, _), *_ = self.piece.letters
        strokes = letter.taught.strokes
        y = self.document.say(self.piece.heading, left, top, width, size=13, bold=True, kind="H1")
        for number, stroke in enumerate(strokes, 1):
            if stroke.cue:
                y = self.document.say(f"{number}  {stroke.cue}", left, y + 1.5, width, size=12)

    def _row(self, row: Row, top: float) -> None:
        base = top + self._above * self.unit
        rule(self.document, self.canvas, self.guide, base, self.unit, self.left, self.right)
        if row == "empty":
            return
        places = self._places()
        with self.document.tagged("Figure", self._said(row, times=len(places))):
            for place in places:
                self.piece.draw(self.canvas, place, base, self.unit, row)

    def _places(self) -> list[float]:
        """Where the pieces of a row begin, from the left."""
        step = (self.piece.width + APART) * self.unit
        room = self.right - self.left - 2 * INDENT * self.unit
        count = max(1, int((room + APART * self.unit) / step + 1e-9))
        return [self.left + INDENT * self.unit + number * step for number in range(count)]

    def _said(self, what: str, **values: object) -> str:
        return text(f"paper.alt.{what}", written=self.piece.spoken, **values)


def _rows(room: int) -> Iterator[Row]:
    """The rows of a sheet with room for so many on its first page: each kind at least once."""
    third, rest = divmod(max(room, ROWS), ROWS)
    yield from repeat("trace", third + (rest > 1))
    yield from repeat("starts", third)
    yield from repeat("empty", third + (rest > 0))


def _title(sheets: Sequence[Sheet]) -> str:
    return text("paper.sheet.title", written=listed(list(dict.fromkeys(sheet.written for sheet in sheets))))
