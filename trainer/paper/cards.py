"""Letter cards to cut out, and an alphabet for the wall whose pages join to one band of lines."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from math import inf

from strokes.alphabet import Alphabet
from trainer.drawing import Rect, theme
from trainer.language import text
from trainer.paper.canvas import Canvas
from trainer.paper.document import Document, Paper
from trainer.paper.pieces import Piece
from trainer.paper.ruling import rule

ACROSS, DOWN = 2, 2
"""Cards on a page."""

MARGIN = 8.0
"""Mm around the cards that printers leave white."""

PADDING = 9.0
"""Mm of white inside a card or a page of the wall."""

CUES = 0.26
"""Share of a card's height for the words at its foot."""

CUE_SIZE, SMALLEST_CUE = 10.0, 6.0
"""Points of the cues; those of a letter with many strokes shrink."""

AROUND = 0.4
"""X-heights on both sides of a letter: a ring finds room."""

APART = 0.9
"""X-heights between a capital and its small letter on the wall."""


def letter_cards(alphabet: Alphabet, letters: Sequence[str], paper: Paper) -> Document:
    """A card for each letter, all of one size, with numbered starts, arrows, cues and lines to cut along."""
    pieces = [Piece(letter, alphabet) for letter in letters]
    document = Document(text("paper.cards.title", alphabet=alphabet.name), paper)
    wide = (document.w - 2 * MARGIN) / ACROSS
    high = (document.h - 2 * MARGIN) / DOWN
    unit = _unit(pieces, wide - 2 * PADDING, high * (1 - CUES) - PADDING)
    for page in _pages(pieces):
        document.add_page()
        _cutting_lines(document, wide, high)
        for place, piece in enumerate(page):
            row, column = divmod(place, ACROSS)
            _card(document, piece, Rect(MARGIN + column * wide, MARGIN + row * high, wide, high), unit)
    return document


def wall_alphabet(alphabet: Alphabet, letters: Sequence[str], paper: Paper) -> Document:
    """A page for each capital with its small letter, and for each letter that stands alone.

    The lines run to the edges of the paper at one height, so that the pages join.
    """
    rows = [[Piece(letter, alphabet) for letter in pair] for pair in pairs(alphabet, letters)]
    document = Document(text("paper.wall.title", alphabet=alphabet.name), paper)
    canvas, guide = Canvas(document), alphabet.guide
    widths = [sum(piece.width + APART for piece in row) - APART for row in rows]
    above, below = _reach(piece for row in rows for piece in row)
    unit = min(
        (document.w - 2 * PADDING) / (max(widths) + 2 * AROUND), (document.h - 2 * PADDING) / (above + below)
    )
    base = (document.h - (above + below) * unit) / 2 + above * unit
    for row, width in zip(rows, widths, strict=True):
        document.add_page()
        rule(document, canvas, guide, base, unit, 0.0, document.w)
        left = (document.w - width * unit) / 2
        for piece in row:
            with document.tagged("Figure", text("paper.alt.model", written=piece.spoken)):
                piece.draw(canvas, left, base, unit, "model")
            left += (piece.width + APART) * unit
    return document


def pairs(alphabet: Alphabet, letters: Sequence[str]) -> Iterator[tuple[str, ...]]:
    """The letters by the alphabet, each capital before its small letter; digits come last."""
    chosen = dict.fromkeys(sorted(letters, key=lambda name: (name.isdecimal(), name.lower(), name)))
    while chosen:
        name = next(iter(chosen))
        other = alphabet[name].other_case
        pair = [name, *([other.name] if other and other.name in chosen else [])]
        yield tuple(pair)
        for each in pair:
            del chosen[each]


def _pages(pieces: Sequence[Piece]) -> Iterator[Sequence[Piece]]:
    return (pieces[at : at + ACROSS * DOWN] for at in range(0, len(pieces), ACROSS * DOWN))


def _card(document: Document, piece: Piece, card: Rect, unit: float) -> None:
    canvas, guide = Canvas(document), piece.alphabet.guide
    above, below = _reach([piece])
    room = card.height * (1 - CUES)
    base = card.top + PADDING + (room - PADDING - (above + below) * unit) / 2 + above * unit
    rule(document, canvas, guide, base, unit, card.left + PADDING, card.right - PADDING)
    with document.tagged("Figure", text("paper.alt.model", written=piece.spoken)):
        piece.draw(canvas, card.center[0] - piece.width * unit / 2, base, unit, "model")
    width, height = card.width - 2 * PADDING, card.height - room - 3
    _words(document, piece, Rect(card.left + PADDING, card.top + room, width, height))


def _words(document: Document, piece: Piece, room: Rect) -> None:
    """Which letter it is, as an l and an I look alike; and how the pen goes, as large as it finds room."""
    (letter, _), *_ = piece.letters
    top = room.top
    if document.can_print(piece.heading):
        top = document.say(piece.heading, room.left, top, room.width, size=CUE_SIZE, bold=True) + 0.6
    numbered = [f"{n}  {stroke.cue}" for n, stroke in enumerate(letter.taught.strokes, 1) if stroke.cue]
    words, size, height = "\n".join(numbered), CUE_SIZE, room.bottom - top
    while words and size > SMALLEST_CUE and document.height_of(words, room.width, size=size) > height:
        size -= 0.5
    if words:
        document.say(words, room.left, top, room.width, size=size)


def _cutting_lines(document: Document, wide: float, high: float) -> None:
    canvas = Canvas(document)
    mm = canvas.mm
    with document.decoration():
        for column in range(ACROSS + 1):
            x = mm(MARGIN + column * wide)
            ends = [(x, mm(MARGIN)), (x, mm(document.h - MARGIN))]
            canvas.line(ends, mm(0.2), theme.EDGE, dashed=True)
        for row in range(DOWN + 1):
            y = mm(MARGIN + row * high)
            canvas.line([(mm(MARGIN), y), (mm(document.w - MARGIN), y)], mm(0.2), theme.EDGE, dashed=True)


def _unit(pieces: Sequence[Piece], width: float, height: float) -> float:
    """The x-height in mm at which each of them finds room."""
    above, below = _reach(pieces)
    widest = max((piece.width for piece in pieces), default=0.0) + 2 * AROUND
    return min(width / widest, height / (above + below))


def _reach(pieces: Iterator[Piece] | Sequence[Piece]) -> tuple[float, float]:
    """X-heights above and below the base line that all of them need."""
    above = below = -inf
    for piece in pieces:
        above = max(above, -piece.alphabet.guide.ascender, -piece.top)
        below = max(below, piece.alphabet.guide.descender)
    return above + 0.25, below + 0.1
