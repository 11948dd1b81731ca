"""Identify: the letter that the ink looks like, whatever its size, place or formation."""

from __future__ import annotations

import numpy as np
import pytest

from strokes import Alphabet, Ink, InkError, Kind, Letter, identify
from strokes.recognition.ranking import nearer, rank
from strokes.simulation.hand import Fault, write
from strokes.transform import Transform
from tests.cases import for_each
from tests.shipped import BARE, OF_SET, ways
from tests.shipped import PRINT as ALPHABET

COMPOSED = [letter for letter in ALPHABET.values() if letter.base]


def read_as(ink: Ink, alphabet: Alphabet) -> str:
    """The nearest of the letters without marks."""
    return next(match.letter.name for match in identify(ink, alphabet) if not match.letter.base)


@pytest.mark.parametrize("letter", BARE, ids=lambda letter: letter.name)
def test_every_formation_is_read_at_any_size_and_place(letter: Letter) -> None:
    """Among the letters of its set without marks: nothing but its size tells an l from an I."""
    for formation in (*letter.formations, *letter.recognized):
        ink = write(formation, seed=5).transformed(Transform(37, 37, -900, 4000))
        assert read_as(ink, OF_SET[letter.set]) == letter.name, formation.name


@for_each("letter", COMPOSED, ids=lambda letter: letter.name)
def test_a_letter_with_a_mark_is_read_with_that_mark(letter: Letter) -> None:
    for formation in ways(letter):
        assert identify(write(formation, seed=5), OF_SET[letter.set])[0].letter.name == letter.name, (
            formation.name
        )


def test_a_bar_that_trembled_above_the_top_of_an_ae_is_no_dot() -> None:
    """Of each seed the bar lies a little elsewhere; as a dot it would make an A with a mark of it."""
    for seed in range(5, 10):
        assert identify(write(ALPHABET["Æ"], seed=seed), OF_SET["capital"])[0].letter.name == "Æ"


@pytest.mark.parametrize("name", "fijktxy")
def test_a_letter_with_a_stroke_run_backwards_is_still_that_letter(name: str) -> None:
    assert read_as(write(ALPHABET[name], fault=Fault(Kind.DIRECTION)), ALPHABET) == name


@pytest.mark.parametrize("name", "fjktxy")
def test_a_letter_in_another_order_is_still_that_letter(name: str) -> None:
    """All letters of two strokes but i: dot first, it is taken for an l whose upper end the dot is."""
    assert read_as(write(ALPHABET[name], fault=Fault(Kind.ORDER)), ALPHABET) == name


def test_all_letters_are_ranked_nearest_first() -> None:
    matches = identify(write(ALPHABET["q"]), ALPHABET)
    assert sorted(match.letter.name for match in matches) == sorted(ALPHABET)
    assert [match.distance for match in matches] == sorted(match.distance for match in matches)


@for_each("name", "acfghquz")
@for_each("asked", "abejortx")
def test_letters_nearer_than_the_one_asked_for_are_those_of_the_ranking(name: str, asked: str) -> None:
    as_the_ranking_tells(write(ALPHABET[name], seed=3), ALPHABET[asked])


@pytest.mark.parametrize("name", "agkw")
@pytest.mark.parametrize("asked", "bex")
@pytest.mark.parametrize("turned", [(), (0,), (1, 2)], ids=str)
def test_the_same_of_ink_in_three_traces_of_which_most_ways_are_not_followed(
    name: str, asked: str, turned: tuple[int, ...]
) -> None:
    line = np.vstack([trace.points for trace in write(ALPHABET[name], seed=3).traces])
    pieces = np.array_split(line, 3)
    ink = Ink.from_arrays([piece[::-1] if k in turned else piece for k, piece in enumerate(pieces[::-1])])
    as_the_ranking_tells(ink, ALPHABET[asked])


def as_the_ranking_tells(ink: Ink, letter: Letter) -> None:
    ranked = rank(ink, (letter, *letter.others))
    place = [match.letter for match in ranked].index(letter)
    closer, distance = nearer(ink, letter, letter.others)
    assert [match.letter for match in closer] == [match.letter for match in ranked[:place]]
    far = [match.distance for match in (*closer, ranked[place])]
    assert [*far[:-1], distance] == pytest.approx(
        [match.distance for match in ranked[: place + 1]], abs=1e-12
    )


def test_no_ink_is_refused() -> None:
    with pytest.raises(InkError, match="at least one trace, not none"):
        identify(Ink(), ALPHABET)


def test_a_single_dot_is_ranked_like_anything_else() -> None:
    assert len(identify(Ink.from_arrays([[[5.0, 5.0]]]), ALPHABET)) == len(ALPHABET)
