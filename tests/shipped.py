"""The shipped alphabets, loaded once a process, and the letters that tests run over.

Where a case is costly, formations are taken by `ways`: small letters stay whole, formations of capitals and
digits that only combine the strokes of others are left out, and letters with marks are few.
"""

from __future__ import annotations

from string import ascii_lowercase

from strokes import Alphabet, Formation, Letter
from strokes.files import SHIPPED
from strokes.letter import SETS
from strokes.polyline import resample

PRINT = Alphabet.load()
SLANTED = Alphabet.load(SHIPPED / "slanted")

OF_SET = {letter_set: PRINT.only(letter_set) for letter_set in SETS}
"""The letters of `print` by set: nothing but its size tells an l from an I."""

BARE = tuple(letter for letter in PRINT.letters if not letter.base)
"""The letters that are drawn, not composed: the small ones, capitals and digits, æ and ß."""

SAMPLE_LETTERS = (*ascii_lowercase, *"ABJNW", *"037")
"""All small letters, and some capitals and digits: of every family, of one stroke and of several."""

MARKED = tuple(PRINT[name] for name in "íèêčñåçøłä" + "ÖØ")
"""A letter for each mark, of as many bases as that allows."""


def ways(letter: Letter) -> tuple[Formation, ...]:
    """The formations of a letter that stand for all of them.

    Of a small letter all. Of a capital or digit the taught one, and each that has a stroke of which those
    before it have none alike, in shape and direction: not the other orders of the bars of an E. Of a letter
    with a mark the taught one and the last, in which the mark runs another way.
    """
    if letter.base:
        return letter.taught, letter.formations[-1]
    if letter.set == "small":
        return letter.formations
    drawn: set[bytes] = set()
    chosen = []
    for formation in letter.formations:
        strokes = {(resample(stroke.path, 9).round(2) + 0.0).tobytes() for stroke in formation.strokes}
        if not strokes <= drawn:
            chosen.append(formation)
        drawn |= strokes
    return tuple(chosen)
