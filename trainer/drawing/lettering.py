"""Letters drawn from the alphabet's own strokes: guide lines, words, and formations with starts and arrows.

What a child reads is drawn here, so that the a she reads is the a she writes.
"""

from __future__ import annotations

from dataclasses import replace
from functools import lru_cache

import numpy as np

from strokes import spacing
from strokes.alphabet import Alphabet
from strokes.letter import Formation, GuideLines, Letter
from strokes.transform import Transform
from trainer.drawing import theme
from trainer.drawing.arrows import chevrons, start_rings
from trainer.drawing.rect import Rect
from trainer.drawing.surface import Drawing

PEN = 0.13
"""Width of a written word's strokes, in x-heights."""

SPACE = 0.5
"""Mean distance between two letters' middle lines at x-height, in x-heights: a little less than a counter."""

NEAREST = 0.36
"""Least distance between two letters' middle lines anywhere, in x-heights."""

WORD_SPACE = 0.9
"""X-heights between two words."""


def guide_lines(canvas: Drawing, guide: GuideLines, left: float, right: float) -> None:
    """The four lines (y in px) from left to right: told apart by weight and dash, not by color.

    The base line is heavy, the x-height line dashed, the ascender line thin, the descender line dotted.
    """
    hair = max(1.0, guide.unit / 60)
    color = theme.GUIDE
    canvas.line([(left, guide.ascender), (right, guide.ascender)], hair, color)
    canvas.line([(left, guide.x_height), (right, guide.x_height)], 1.4 * hair, color, dashed=True)
    canvas.line([(left, guide.baseline), (right, guide.baseline)], 2.4 * hair, color)
    dots = np.arange(left, right, max(6 * hair, guide.unit / 10))
    for x in dots:
        canvas.disc((float(x), guide.descender), 0.8 * hair, color)


def placed(guide: GuideLines, transform: Transform) -> GuideLines:
    """An alphabet's guide lines where `transform` puts them."""
    lines = (guide.ascender, guide.x_height, guide.baseline, guide.descender)
    ascender, x_height, baseline, descender = (transform.at(0.0, y)[1] for y in lines)
    return GuideLines(ascender=ascender, x_height=x_height, baseline=baseline, descender=descender)


def standing(guide: GuideLines, rect: Rect, left: float, right: float, pen: float = PEN) -> Transform:
    """The largest transform of letter space into `rect`: x from left to right and all four lines, centered.

    `pen` is the width of the strokes, in x-heights, that must find room too.
    """
    wide, high = right - left + pen, guide.descender - guide.ascender + pen
    scale = min(rect.width / wide, rect.height / high)
    x, y = rect.center
    middle = (guide.ascender + guide.descender) / 2
    return Transform(scale, scale, x - scale * (left + right) / 2, y - scale * middle)


def formation(
    canvas: Drawing,
    formation: Formation,
    transform: Transform,
    width: float,
    color: str,
    *,
    numbers: bool = True,
    arrows: bool = True,
) -> None:
    """A formation in px: its strokes, chevrons along them, and a numbered ring at each start.

    `transform` leads from letter space to px; `width` is that of the strokes in px.
    """
    lines = [transform.apply(stroke.path) for stroke in formation.strokes]
    for line in lines:
        canvas.line(line, width, color)
    unit = abs(transform.scale_y)
    rings = start_rings(lines, [stroke.is_dot for stroke in formation.strokes], width, unit)
    if arrows:
        for chevron in chevrons(lines, width, unit, rings if numbers else []):
            chevron.draw(canvas, color)
    if numbers:
        for ring in rings:
            ring.draw(canvas)


def word(
    canvas: Drawing,
    alphabet: Alphabet,
    string: str,
    rect: Rect,
    color: str = theme.BLACK,
    *,
    pen: float = PEN,
) -> Transform:
    """`string` as large as `rect` lets it be, in the middle; returns the transform from letter space to px.

    All four guide lines find room in the height, so that words in boxes of one height stand alike; only one
    that goes beyond them, by a mark above a capital, is smaller. Raises KeyError for a letter that the
    alphabet does not have.
    """
    letters, width = spaced(alphabet, string)
    guide = alphabet.guide
    top = min((letter.taught.bounds[1] for letter, _ in letters), default=0.0)
    room = replace(guide, ascender=min(guide.ascender, top))
    transform = standing(room, rect, 0.0, width, pen)
    for letter, shift in letters:
        for stroke in letter.taught.strokes:
            canvas.line(transform.apply(stroke.path + (shift, 0.0)), pen * transform.scale_x, color)
    return transform


def spaced(alphabet: Alphabet, string: str) -> tuple[tuple[tuple[Letter, float], ...], float]:
    """Each letter of `string` with the x by which it is moved, and the width of all, in x-heights.

    Letters stand so that the space between their sides is even to the eye: two round sides come
    closer than two straight ones.
    """
    row: list[tuple[Letter, float]] = []
    right, gap = 0.0, 0.0
    for character in string:
        if character == " ":
            gap += WORD_SPACE
            continue
        letter = alphabet[character]
        left_end, _, right_end, _ = letter.taught.bounds
        shift = -left_end
        if row:
            before, moved = row[-1]
            shift = moved + _distance(before.taught, letter.taught, alphabet.guide) + gap
        row.append((letter, shift))
        right, gap = max(right, shift + right_end), 0.0
    return tuple(row), right


@lru_cache(maxsize=1024)
def _distance(before: Formation, after: Formation, guide: GuideLines) -> float:
    """How far the second letter is moved from the first, both from their own x = 0."""
    left, right = _sides(before, guide), _sides(after, guide)
    return max(SPACE - spacing.space(left, right), NEAREST - spacing.nearest(left, right))


def _sides(formation: Formation, guide: GuideLines) -> spacing.Sides:
    return spacing.sides([stroke.path for stroke in formation.strokes], guide)
