"""Letter shapes against the Hershey fonts (A. V. Hershey 1967; package `Hershey-Fonts`).

Hershey drew them at the U.S. National Bureau of Standards. Their single-line faces are center lines and
not outlines, as a pen would run. The data is in the public domain with the terms that the package
carries; nothing of it is shipped. A plotter drew the strokes in whatever order was quick, so that only
the shape is judged here.
"""

from __future__ import annotations

from string import ascii_lowercase

import pytest
from HersheyFonts import HersheyFonts

from strokes import Alphabet, Ink, identify

UPRIGHT = ("futural", "rowmans")
"""The two single-line upright faces; `scripts` and `cursive` are joined script and no model of print."""


def drawn(face: str, name: str) -> Ink:
    """The letter as the face draws it; y grows downward in these files too."""
    font = HersheyFonts()
    font.load_default_font(face)
    return Ink.from_arrays(font.all_glyphs[name].strokes)


@pytest.fixture(scope="module")
def alphabet() -> Alphabet:
    return Alphabet.load()


@pytest.mark.parametrize("face", UPRIGHT)
@pytest.mark.parametrize("name", ascii_lowercase)
def test_a_hershey_letter_is_named(alphabet: Alphabet, face: str, name: str) -> None:
    matches = identify(drawn(face, name), alphabet)

    assert matches[0].letter.name == name, [match.letter.name for match in matches[:3]]
