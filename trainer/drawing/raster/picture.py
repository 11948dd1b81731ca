"""The whole alphabet as one picture for the wall: every letter on its lines, with starts and arrows."""

from __future__ import annotations

import os
from pathlib import Path

os.environ.setdefault("PYGAME_HIDE_SUPPORT_PROMPT", "1")  # read when pygame is imported

import pygame

from strokes.alphabet import Alphabet
from strokes.letter import Family
from strokes.transform import Transform
from trainer.drawing import lettering, theme
from trainer.drawing.raster.canvas import Canvas
from trainer.drawing.rect import Rect
from trainer.drawing.theme import Metrics
from trainer.errors import PlaceError

COLUMNS = 9
"""Letters in a row at most."""

ROOM = 17.5
"""The width of a row in x-heights."""

GAP = 1.15
"""Between two letters of a row at most, and after the last, in x-heights: room for a ring of each."""

PEN = 0.17
"""Width of the strokes, in x-heights: wide enough for a chevron inside."""


def draw(alphabet: Alphabet, path: Path | str, *, width: int = 2400) -> None:
    """Draw `alphabet` to a PNG of `width` px: family by family, in teaching order. Needs no display.

    Raises PlaceError when the file cannot be written.
    """
    shown = rows(alphabet)
    margin = width / 26
    unit = (width - 2 * margin) / ROOM
    guide = alphabet.guide
    lines = (guide.descender - guide.ascender) * unit
    heading, below, gap = 0.62 * unit, 0.5 * unit, 0.3 * unit
    height = margin * 1.5 + sum(lines + below + (heading if name else 0) for name, _ in shown)
    canvas = Canvas(pygame.Surface((width, round(height)), depth=32), Metrics(width, round(height), 10.0))
    canvas.fill(theme.PAPER)
    top = margin
    for name, letters in shown:
        if name:
            box = Rect(margin, top - gap / 2, width - 2 * margin, heading)
            canvas.text(name, box, 0.34 * unit, theme.QUIET, align="left", bold=True)
            top += heading
        base = top - guide.ascender * unit
        placed = lettering.placed(guide, Transform(unit, unit, 0.0, base))
        lettering.guide_lines(canvas, placed, margin, width - margin)
        formations = [alphabet[letter].taught for letter in letters]
        wide = sum(formation.bounds[2] - formation.bounds[0] for formation in formations)
        gap_between = min(GAP, (ROOM - wide) / len(formations)) * unit
        at = margin + gap_between / 2
        for formation in formations:
            left_end, _, right_end, _ = formation.bounds
            moved = Transform(unit, unit, at - unit * left_end, base)
            lettering.formation(canvas, formation, moved, PEN * unit, theme.BLACK)
            at += unit * (right_end - left_end) + gap_between
        top += lines + below
    try:
        with Path(path).open("wb") as file:
            pygame.image.save(canvas.surface, file, ".png")
    except OSError as error:
        raise PlaceError(f"{path}: the picture cannot be written: {error.strerror}") from error


def rows(alphabet: Alphabet) -> list[tuple[str, list[str]]]:
    """Rows of letters with the heading over each; "" where a family goes on or letters have none."""
    order = {letter: place for place, letter in enumerate(alphabet.order)}
    grouped = {letter for family in alphabet.families for letter in family.letters}
    rest = Family("", tuple(letter for letter in alphabet if letter not in grouped))
    headed: list[tuple[str, list[str]]] = []
    for family in (*alphabet.families, rest):
        letters = sorted(
            (letter for letter in family.letters if letter in alphabet),
            key=lambda letter: order.get(letter, len(order)),
        )
        for start in range(0, len(letters), COLUMNS):
            name = family.name[:1].upper() + family.name[1:] if start == 0 else ""
            headed.append((name, letters[start : start + COLUMNS]))
    return headed
