"""Shapes of letters and digits against the Hershey fonts (A. V. Hershey 1967; package `Hershey-Fonts`).

Hershey drew them at the U.S. National Bureau of Standards. Their single-line faces are center lines and
not outlines, as a pen would run. The data is in the public domain with the terms that the package
carries; nothing of it is shipped. A plotter drew the strokes in whatever order was quick, so that only
the shape is judged here.
"""

from __future__ import annotations

from functools import cache
from string import ascii_lowercase, ascii_uppercase, digits

import pytest
from HersheyFonts import HersheyFonts

from strokes import Alphabet, Ink, identify
from tests.shipped import PRINT

UPRIGHT = ("futural", "rowmans")
"""The two single-line upright faces; `scripts` and `cursive` are joined script and no model of print."""


@cache
def loaded(face: str) -> HersheyFonts:
    font = HersheyFonts()
    font.load_default_font(face)
    return font


def drawn(face: str, name: str) -> Ink:
    """The letter as the face draws it; y grows downward in these files too."""
    return Ink.from_arrays(loaded(face).all_glyphs[name].strokes)


def only(names: str) -> Alphabet:
    """The shipped letters of these names: without guide lines nothing else tells l from I and 1."""
    return Alphabet(PRINT.name, tuple(PRINT[name] for name in names), PRINT.guide)


SETS = [(names, only(names)) for names in (ascii_lowercase, ascii_uppercase, digits)]


@pytest.mark.parametrize("face", UPRIGHT)
@pytest.mark.parametrize(
    ("alphabet", "name"),
    [pytest.param(alphabet, name, id=name) for names, alphabet in SETS for name in names],
)
def test_a_hershey_letter_is_named_among_those_of_its_set(alphabet: Alphabet, face: str, name: str) -> None:
    matches = identify(drawn(face, name), alphabet)

    assert matches[0].letter.name == name, [match.letter.name for match in matches[:3]]
