"""Stroke order and direction against the Latin letters and digits of KanjiVG (package `kanjivg`).

KanjiVG (Ulrich Apel, CC BY-SA 3.0) records how each character is written in Japan: one path a stroke, in
order, in the way the pen runs. Its Latin letters are unjoined print, one file a code point. They were
drawn for another purpose by somebody else, so they are a fair judge of which ways of writing count.
Nothing of them is shipped: the package is needed by this test alone.
"""

from __future__ import annotations

import xml.etree.ElementTree as ET
from importlib.resources import files

import numpy as np
import pytest
from svgelements import Path

from strokes import Alphabet, Ink, Kind, Report, check
from tests.cases import for_each
from tests.shipped import PRINT

SVG = "{http://www.w3.org/2000/svg}"

ACCEPTED = list("bcdfhijklmnopqstuvxy" + "ACDEFGHIJKLMOPQRSTUVXY" + "01234569")
"""Letters and digits that KanjiVG writes as taught here or in another accepted way (looked at one by one)."""


def written(name: str) -> Ink:
    """The letter as KanjiVG writes it, in its own units (109 to the square, y growing downward)."""
    drawing = ET.fromstring((files("kanji") / f"{ord(name):05x}.svg").read_text(encoding="utf-8"))
    paths = [Path(element.attrib["d"]) for element in drawing.iter(f"{SVG}path")]
    return Ink.from_arrays([path.npoint(np.linspace(0, 1, 64)) for path in paths])


def judged(alphabet: Alphabet, name: str) -> Report:
    return check(written(name), alphabet[name])


@pytest.fixture(scope="module")
def alphabet() -> Alphabet:
    return PRINT


@for_each("name", ACCEPTED)
def test_a_letter_as_kanjivg_writes_it_is_formed_as_we_accept(alphabet: Alphabet, name: str) -> None:
    report = judged(alphabet, name)

    assert report.formed, report.findings


@for_each(
    ("name", "pens"),
    [("b", 2), ("d", 2), ("h", 2), ("k", 3), ("m", 3), ("n", 2), ("p", 2), ("q", 2), ("u", 2), ("v", 2)]
    + [("K", 3), ("L", 2), ("M", 4), ("R", 3), ("V", 2), ("Y", 3)],
)
def test_letters_with_more_pens_than_taught_are_taken_for_the_formation_with_as_many(
    alphabet: Alphabet, name: str, pens: int
) -> None:
    """The file's own number of strokes, and not a letter run together from pieces."""
    assert len(written(name)) == pens
    assert len(judged(alphabet, name).formation.strokes) == pens


def test_an_e_with_its_bar_last_is_an_order_fault(alphabet: Alphabet) -> None:
    """KanjiVG: the open round first, from the right end of the bar, then the bar from left to right."""
    report = judged(alphabet, "e")

    assert Kind.ORDER in report.kinds
    assert not report.formed


def test_an_r_with_its_arch_drawn_from_the_right_is_a_direction_fault(alphabet: Alphabet) -> None:
    """KanjiVG: the stem, then the arch from its right end in to the stem."""
    report = judged(alphabet, "r")

    assert Kind.DIRECTION in report.kinds
    assert not report.formed


def test_a_w_of_four_downward_strokes_is_a_lift_fault(alphabet: Alphabet) -> None:
    """KanjiVG: \\ / \\ /, each from the top, the pen lifted three times."""
    report = judged(alphabet, "w")

    assert Kind.LIFT in report.kinds
    assert Kind.REVERSAL not in report.kinds  # a w is its own mirror image
    assert not report.formed


def test_a_z_of_three_strokes_is_a_lift_fault_and_nothing_else(alphabet: Alphabet) -> None:
    """KanjiVG: bar, slant and bar in the taught order and direction, the pen lifted at each corner."""
    assert judged(alphabet, "z").kinds == {Kind.LIFT}


def test_a_b_with_a_lift_between_its_bowls_is_a_lift_fault(alphabet: Alphabet) -> None:
    """KanjiVG: the stem, the upper bowl, the lower bowl; common practice draws both bowls in one."""
    report = judged(alphabet, "B")

    assert Kind.LIFT in report.kinds
    assert Kind.ORDER not in report.kinds
    assert not report.formed


def test_an_n_with_its_slant_before_its_right_line_is_an_order_fault(alphabet: Alphabet) -> None:
    """KanjiVG: left line, slant, right line, all downwards; in three strokes both lines come first here."""
    assert judged(alphabet, "N").kinds == {Kind.ORDER}


def test_a_capital_w_of_four_downward_strokes_is_not_formed(alphabet: Alphabet) -> None:
    """KanjiVG: as its small w; two strokes are accepted here."""
    assert not judged(alphabet, "W").formed


def test_a_capital_z_of_three_strokes_is_a_lift_fault(alphabet: Alphabet) -> None:
    """KanjiVG: as its small z."""
    report = judged(alphabet, "Z")

    assert Kind.LIFT in report.kinds
    assert report.kinds.isdisjoint({Kind.ORDER, Kind.DIRECTION, Kind.REVERSAL})


def test_a_7_with_its_lead_in_as_a_stroke_of_its_own_has_one_stroke_too_many(alphabet: Alphabet) -> None:
    """KanjiVG: a short line down at the left, the pen lifted, then the 7."""
    assert judged(alphabet, "7").kinds == {Kind.EXTRA}


def test_an_8_begun_downwards_to_the_left_is_a_direction_fault(alphabet: Alphabet) -> None:
    """KanjiVG: from the upper right to the crossing, the lower ring first; here the upper curve is first."""
    report = judged(alphabet, "8")

    assert Kind.DIRECTION in report.kinds
    assert not report.formed


@pytest.mark.parametrize("name", ["a", "g"])
def test_a_letter_of_another_shape_does_not_look_right(alphabet: Alphabet, name: str) -> None:
    """KanjiVG draws the two-storied a and g of book type; a child is taught the one-storied ones."""
    report = judged(alphabet, name)

    assert Kind.SHAPE in report.kinds
    assert Kind.LETTER not in report.kinds  # it is no other letter of the alphabet either
    assert not report.looks_right
