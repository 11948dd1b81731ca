"""The alphabet as one specimen sheet for the wall: every letter on its lines, with starts and arrows."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from io import BytesIO
from math import ceil
from pathlib import Path

from strokes.alphabet import Alphabet
from strokes.letter import Family
from strokes.transform import Transform
from trainer.atomic_file import replacing
from trainer.drawing import lettering, theme
from trainer.drawing.raster.canvas import Canvas
from trainer.drawing.rect import Rect
from trainer.drawing.theme import Metrics
from trainer.language import text
from trainer.pygame_start import pygame

ACROSS = 29.0
"""X-heights in the width of the sheet: 104 letters then fill a page about half as high again as wide."""

MARGIN = 1.1
"""X-heights of paper on every side."""

PEN = 0.17
"""Width of the strokes, in x-heights: wide enough for a chevron inside."""

BETWEEN, BETWEEN_FAMILIES = 0.66, 1.5
"""X-heights from a letter's right side to the next one's left, in a family and from one to the next."""

INDENT = 0.3
"""X-heights before the first letter of a row: a ring on its left finds room."""

HEADING_SIZE = 0.32
HEADING_WIDTH = 0.55 * HEADING_SIZE
"""X-heights that a character of a heading takes in the mean, so that none runs into the next one."""

HEADING, GAP = 0.62, 0.34
"""X-heights that a row's headings take, and between two rows."""


@dataclass(frozen=True)
class Place:
    """A letter in a row: where its own x = 0 lies in the row, and the heading that begins there."""

    letter: str
    x: float
    heading: str = ""


def draw(alphabet: Alphabet, path: Path | str, *, width: int = 2400) -> None:
    """Draw `alphabet` to a PNG of `width` px: family by family, in teaching order, then letters with marks.

    Needs no display. Raises PlaceError when the file cannot be written, before anything is drawn where it can
    be known by then.
    """
    with replacing(Path(path), what="the picture") as file:
        drawn = BytesIO()  # pygame says of a full disk only that something went wrong
        pygame.image.save(_drawn(alphabet, width), drawn, ".png")
        file.write(drawn.getvalue())


def _drawn(alphabet: Alphabet, width: int) -> pygame.Surface:
    unit = width / ACROSS
    guide = alphabet.guide
    shown = rows(alphabet)
    tops = [_top(alphabet, row) for row in shown]
    height = 2 * MARGIN + HEADING + sum(guide.descender - top + HEADING + GAP for top in tops) - GAP
    size = (width, round(height * unit))
    canvas = Canvas(pygame.Surface(size, depth=32), Metrics(*size, 10.0))
    canvas.fill(theme.PAPER)
    left, right = MARGIN * unit, (ACROSS - MARGIN) * unit
    name = alphabet.name[:1].upper() + alphabet.name[1:]
    title = Rect(left, 0.7 * MARGIN * unit, right - left, HEADING * unit)
    canvas.text(name, title, 0.5 * unit, theme.BLACK, align="left", bold=True)
    top = MARGIN + HEADING
    for row, highest in zip(shown, tops, strict=True):
        base = (top + HEADING - highest) * unit
        placed = lettering.placed(guide, Transform(unit, unit, 0.0, base))
        lettering.guide_lines(canvas, placed, left, right)
        for place in row:
            start = left + place.x * unit
            formation = alphabet[place.letter].taught
            lettering.formation(
                canvas, formation, Transform(unit, unit, start, base), PEN * unit, theme.BLACK
            )
            if place.heading:
                box = Rect(start + unit * formation.bounds[0], top * unit, right - start, HEADING * unit)
                canvas.text(place.heading, box, HEADING_SIZE * unit, theme.QUIET, align="left", bold=True)
        top += HEADING + guide.descender - highest + GAP
    return canvas.surface


def rows(alphabet: Alphabet) -> list[list[Place]]:
    """The letters row by row.

    A family goes on in the row of the last one where it finds room and both are small letters, capitals or
    digits; a family that is longer than a row is broken evenly.
    """
    room = ACROSS - 2 * MARGIN
    laid: list[list[Place]] = []
    right, said, kind = 0.0, 0.0, None
    for name, letters in groups(alphabet):
        heading = name
        wide = sum(_width(alphabet, letter) + BETWEEN for letter in letters) - BETWEEN
        headed = max(wide, len(heading) * HEADING_WIDTH)
        if not laid or kind != _kind(alphabet, letters[0]) or right + BETWEEN_FAMILIES + headed > room:
            laid.append([])
        kind = _kind(alphabet, letters[0])
        even = wide / max(1, ceil(wide / (room - INDENT))) + 1.0  # a straight line has no width
        for letter in letters:
            left_end, _, right_end, _ = alphabet[letter].taught.bounds
            start = right + (BETWEEN_FAMILIES if heading else BETWEEN) if laid[-1] else INDENT
            if start + right_end - left_end > (even if wide > room - INDENT else room) and laid[-1]:
                laid.append([])
                start = INDENT
            laid[-1].append(Place(letter, start - left_end, heading))
            right = start + right_end - left_end
            if heading:
                said = start + len(heading) * HEADING_WIDTH
            heading = ""
        right = max(right, said - BETWEEN_FAMILIES + BETWEEN)
    return laid


def groups(alphabet: Alphabet) -> Iterator[tuple[str, list[str]]]:
    """The families in teaching order, what belongs to none, and last the letters that have marks."""
    place = {letter: at for at, letter in enumerate(alphabet.order)}
    grouped = {letter for family in alphabet.families for letter in family.letters}
    rest = Family("", tuple(letter for letter in alphabet if letter not in grouped))
    marked: list[str] = []
    for family in (*alphabet.families, rest):
        there = [name for name in family.letters if name in alphabet]
        there.sort(key=lambda name: place.get(name, len(place)))
        marked += [name for name in there if alphabet[name].base]
        if bare := [name for name in there if not alphabet[name].base]:
            yield family.name[:1].upper() + family.name[1:], bare
    for heading, capitals in (("marked", False), ("marked_capitals", True)):
        if there := sorted(name for name in marked if name.isupper() is capitals):
            yield text(f"alphabet.family.{heading}"), there


def _kind(alphabet: Alphabet, letter: str) -> tuple[bool, bool, bool]:
    """Whether it has a mark, is a capital, is a digit: what stands in rows of its own."""
    return bool(alphabet[letter].base), letter.isupper(), letter.isdecimal()


def _width(alphabet: Alphabet, letter: str) -> float:
    left, _, right, _ = alphabet[letter].taught.bounds
    return right - left


def _top(alphabet: Alphabet, row: list[Place]) -> float:
    """The y of the highest thing in a row: the ascender line, or a mark on a capital."""
    tops = [alphabet[place.letter].taught.bounds[1] - PEN for place in row]
    return min(alphabet.guide.ascender, *tops)
