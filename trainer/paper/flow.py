"""Words and letters one below the other on a page of a report."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from strokes.alphabet import Alphabet
from strokes.ink import Ink
from strokes.letter import Formation
from strokes.transform import Transform
from trainer.drawing import Rect, drawable, theme
from trainer.language import listed, text
from trainer.paper.canvas import Canvas
from trainer.paper.document import POINT, Document
from trainer.paper.pieces import Piece
from trainer.paper.ruling import rule
from trainer.teaching import by_set

MARGIN = 17.0
"""Mm on every side."""

TITLE, HEADING, BODY, SMALL = 20.0, 13.0, 10.5, 8.5
"""Points of words."""

X_HEIGHT, ROW = 4.0, 20.0
"""Mm of an x-height in a list of letters; of a whole row at most, whatever lines an alphabet has."""

BETWEEN = 4.2
"""Mm between two letters of a list."""

BEFORE_SET = 2.0
"""Mm more before the name of a set that goes on in the row."""

INK = 0.09
"""Width of a child's ink in x-heights: thinner than a model, so that they differ in gray too."""

MOST_LETTERS = 75
"""Letters of one list: more find no room on a page, and their number is told."""


class Flow:
    """The page that a document is at, filled from above; `y` is where the next thing goes, in mm."""

    def __init__(self, document: Document) -> None:
        self.document, self.canvas = document, Canvas(document)
        self.left, self.right = MARGIN, document.w - MARGIN
        self.y = MARGIN

    @property
    def width(self) -> float:
        """What a line has room for."""
        return self.right - self.left

    @property
    def left_over(self) -> float:
        """The height that is still free above the foot of the page."""
        return self.document.h - MARGIN - self.y

    def page(self) -> None:
        """A new page."""
        self.document.add_page()
        self.y = MARGIN

    def title(self, words: str) -> None:
        """The heading of the document, in one line."""
        size = TITLE
        wide = self.document.width_of(words, size=size, bold=True)
        size = min(size, size * 0.98 * self.width / wide)
        self.y = self.document.say(words, self.left, self.y, self.width, size=size, bold=True, kind="H1") + 1

    def heading(self, words: str) -> None:
        """The heading of a part."""
        self.y += 4
        self.y = self.document.say(words, self.left, self.y, self.width, size=HEADING, bold=True, kind="H2")
        self.y += 1

    def words(self, words: str, *, size: float = BODY, color: str = theme.TEXT) -> None:
        """A paragraph."""
        self.y = self.document.say(words, self.left, self.y, self.width, size=size, color=color) + 1.2

    def room_for(self, words: str, *, below: float = 0.0) -> bool:
        """Whether a paragraph still finds room, and `below` mm after it."""
        return self.document.height_of(words, self.width, size=BODY) + 1.2 + below <= self.left_over

    def letters(
        self, letters: Sequence[str], alphabet: Alphabet, said: str, *, below: Mapping[str, str] | None = None
    ) -> None:
        """Letters in rows, drawn from the alphabet's own strokes, with a few words `below` each.

        Letters of several sets stand set by set, each named before its first one: an l and an I look alike.
        `said` is read aloud before their names; a letter that the alphabet does not have is typed.
        """
        document, guide = self.document, alphabet.guide
        every = [Piece(letter, alphabet) for letter in letters]
        names = listed([piece.spoken for piece in every], every=True)
        first_of: dict[str, str] = {}
        if all(len(piece.letters) < 2 for piece in every) and len(sets := by_set(letters)) > 1:
            every = [Piece(letter, alphabet) for own in sets.values() for letter in own]
            first_of = {own[0]: text(f"summary.set.{name}") for name, own in sets.items()}
        pieces = every[:MOST_LETTERS]
        tallest = max(guide.above, *(-piece.top for piece in pieces))
        unit = min(X_HEIGHT, ROW / (tallest + guide.below))
        above = tallest * unit + 1
        step = above + guide.below * unit + (SMALL * POINT * 1.3 if below else 0.0)
        x, base = self.left, self.y + above
        with document.tagged("Figure", text("paper.alt.letters", said=said, letters=names)):
            for piece in pieces:
                letter = piece.written
                under = below.get(letter, "") if below else ""
                typed = document.width_of(under, size=SMALL) if under else 0.0
                wide = max(piece.width * unit, typed)
                set_name = first_of.get(letter, "")
                label = document.width_of(set_name, size=SMALL) if set_name else 0.0
                before = label + BETWEEN if set_name else 0.0
                if set_name and x > self.left:
                    x += BEFORE_SET
                if x + before + wide > self.right:
                    x, base = self.left, base + step
                if set_name:
                    at = x + label / 2, base - unit / 2
                    document.word(set_name, *at, size=SMALL, bold=False, color=theme.QUIET)
                    x += before
                if piece.letters:
                    piece.draw(self.canvas, x + (wide - piece.width * unit) / 2, base, unit, "plain")
                else:
                    wide = max(wide, document.word(letter, x + 2, base - unit, size=20, bold=False))
                if under:
                    middle = base + guide.below * unit + SMALL * POINT * 0.7
                    document.word(under, x + wide / 2, middle, size=SMALL, bold=False, color=theme.QUIET)
                x += wide + BETWEEN
        self.y = base + step - above
        if len(letters) > MOST_LETTERS:
            self.words(text("paper.report.more_letters", count=len(letters) - MOST_LETTERS), size=SMALL)

    def model(self, piece: Piece, box: Rect) -> None:
        """A letter as it is taught, as large as its box lets it be, on its lines from side to side."""
        guide = piece.alphabet.guide
        above = max(guide.above, -piece.top) + 0.2
        unit = min(box.height / (above + guide.below + 0.1), box.width / (piece.width + 0.8))
        base = box.top + above * unit
        rule(self.document, self.canvas, guide, base, unit, box.left, box.right)
        with self.document.tagged("Figure", text("paper.alt.model", written=piece.spoken)):
            piece.draw(self.canvas, box.center[0] - piece.width * unit / 2, base, unit, "model")

    def ink(self, ink: Ink, taught: Formation, alphabet: Alphabet, box: Rect, said: str) -> None:
        """What a child wrote, on the lines it was written on; the taught letter says how large these are.

        What runs far over the lines makes all of it smaller.
        """
        guide, traces = alphabet.guide, drawable(ink).traces
        left, top, right, bottom = taught.bounds
        for trace in traces:
            (low_x, low_y), (high_x, high_y) = trace.points.min(axis=0), trace.points.max(axis=0)
            left, top, right, bottom = (
                *(min(left, low_x), min(top, low_y)),
                *(max(right, high_x), max(bottom, high_y)),
            )
        above, below = max(guide.above, -top) + 0.2, max(guide.below, bottom) + 0.1
        unit = min(box.height / (above + below), box.width / (right - left + 0.8))
        base = box.top + above * unit
        mm = self.canvas.mm
        place = Transform(mm(unit), mm(unit), mm(box.center[0] - (left + right) / 2 * unit), mm(base))
        rule(self.document, self.canvas, guide, base, unit, box.left, box.right)
        with self.document.tagged("Figure", said):
            for trace in traces:
                self.canvas.line(place.apply(trace.points), mm(INK * unit), theme.BLUE)

    def foot(self, words: str) -> None:
        """What stands at the foot of each page."""
        top = self.document.h - MARGIN + 3
        self.document.say(words, self.left, top, self.width, size=SMALL, color=theme.QUIET)
