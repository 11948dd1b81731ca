"""Letters, formations, alphabets and guide lines: what they answer, and what they refuse to be."""

from __future__ import annotations

import numpy as np
import pytest

from strokes.alphabet import Alphabet
from strokes.curves import Curves
from strokes.errors import InkError, LetterError
from strokes.kinds import Kind
from strokes.letter import SETS, Formation, GuideLines, Letter, Stroke, set_of
from tests.cases import for_each
from tests.shipped import PRINT

STEM = Stroke([(0, -1), (0, 0)], "Straight down.")
DOT = Stroke([(0, -1.42), (0, -1.38)], "Dot above.")
TAUGHT = Formation("taught", (STEM, DOT))


def letter(name: str = "i", *more: Formation) -> Letter:
    return Letter(name, (TAUGHT, *more))


@pytest.mark.parametrize(
    ("stroke", "words"),
    [
        (Stroke([(0, 0), (0, 1e9)]), "points must lie within 100 x-heights"),
        (
            Stroke.of(Curves.of_points([(0, 0), (0, 1), (0, 1e3), (0, 1)])),
            "points must lie within 100 x-heights",
        ),
        (Stroke(np.zeros((20_001, 2))), "at most 20000 points, not 20001"),
    ],
)
def test_a_letter_without_end_is_refused_however_it_was_made(stroke: Stroke, words: str) -> None:
    endless = Formation("endless", (stroke,))
    for made in (lambda: Letter("i", (endless,)), lambda: Letter("i", (TAUGHT,), recognized=(endless,))):
        with pytest.raises(LetterError, match=words):
            made()


def test_a_stroke_knows_where_the_pen_comes_down():
    assert STEM.start == (0, -1)


def test_a_short_stroke_is_a_dot():
    assert DOT.is_dot
    assert Stroke([(1, 1)]).is_dot
    assert not STEM.is_dot


@pytest.mark.parametrize("path", [[], [(0, np.nan)], [(0, 1, 2)]])
def test_a_stroke_without_a_line_is_refused(path):
    with pytest.raises(InkError):
        Stroke(path)


def test_the_box_of_a_formation_is_around_all_strokes():
    assert TAUGHT.bounds == (0, -1.42, 0, 0)


def test_a_formation_without_strokes_is_refused():
    with pytest.raises(LetterError, match="at least one stroke"):
        Formation("taught", ())


def test_a_letter_without_formations_is_refused():
    with pytest.raises(LetterError, match="at least one formation"):
        Letter("i", ())


@pytest.mark.parametrize(
    "first", [Formation("taught", (STEM,), hand="left"), Formation("taught", (STEM,), note=Kind.ORDER)]
)
def test_the_taught_formation_is_for_everybody(first):
    with pytest.raises(LetterError, match="for everybody"):
        Letter("i", (first,))


def test_each_hand_has_its_accepted_formations():
    left, right, both = (Formation(name, (STEM,), hand) for name, hand in
                         [("l", "left"), ("r", "right"), ("b", None)])  # fmt: skip
    every = letter("i", left, right, both)

    assert [formation.name for formation in every.accepted("left")] == ["taught", "l", "b"]
    assert [formation.name for formation in every.accepted("right")] == ["taught", "r", "b"]
    assert [formation.name for formation in every.accepted(None)] == ["taught", "b"]


def test_an_alphabet_is_a_mapping_from_names():
    alphabet = Alphabet("two", (letter("i"), letter("j")))

    assert list(alphabet) == ["i", "j"]
    assert len(alphabet) == 2
    assert "i" in alphabet
    assert "k" not in alphabet
    with pytest.raises(KeyError, match="'k' is not a letter of the alphabet 'two'"):
        alphabet["k"]


def test_a_letter_of_an_alphabet_knows_the_others():
    alphabet = Alphabet("two", (letter("i"), letter("j"), letter("l")))

    assert [other.name for other in alphabet["j"].others] == ["i", "l"]
    assert all(other.others == () for other in alphabet["j"].others)


def test_the_same_letter_twice_is_refused():
    with pytest.raises(LetterError, match="each letter once"):
        Alphabet("two", (letter("i"), letter("i")))


def test_guide_lines_have_their_unit():
    assert GuideLines().unit == 1
    assert GuideLines(ascender=100, x_height=200, baseline=300, descender=400).unit == 100


def test_guide_lines_map_to_letter_space():
    guide = GuideLines(ascender=100, x_height=200, baseline=300, descender=400)
    points = np.array([(50.0, 300.0), (150.0, 200.0), (50.0, 400.0)])

    np.testing.assert_allclose(guide.to_letter_space(left=50).apply(points), [(0, 0), (1, -1), (0, 1)])


@pytest.mark.parametrize(
    "lines",
    [
        {"ascender": 0.0},
        {"baseline": -1.0},
        {"descender": -3.0},
        {"descender": float("nan")},
        {"ascender": float("-inf")},
    ],
)
def test_guide_lines_run_downward(lines):
    with pytest.raises(LetterError, match="must run downward"):
        GuideLines(**lines)


@for_each(
    ("name", "expected"),
    [*zip("aäßøABÄŁ09", ["small"] * 4 + ["capital"] * 4 + ["digit"] * 2, strict=True), ("Qu", "capital")],
)
def test_a_letter_belongs_to_a_set_by_its_first_character(name: str, expected: str) -> None:
    assert set_of(name) == expected


def test_an_alphabet_gives_the_letters_of_a_set_with_their_families_and_order() -> None:
    alphabet = PRINT
    parts = [alphabet.only(letter_set) for letter_set in SETS]

    assert sorted(name for part in parts for name in part) == sorted(alphabet)
    for letter_set, part in zip(SETS, parts, strict=True):
        assert {letter.set for letter in part.values()} == {letter_set}
        assert [name for name in alphabet.order if name in part] == list(part.order)
        assert all(set(family.letters) <= set(part) for family in part.families)


def test_a_check_names_no_letter_of_another_set() -> None:
    """C and c, O and 0, l and 1 differ in size or place alone: none is told to be another letter."""
    for letter in PRINT.values():
        assert {other.set for other in letter.others} <= {letter.set}
        assert letter.name not in {other.name for other in letter.others}
