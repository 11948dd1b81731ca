"""A letter tried before it is used: what comes back well, what is not noticed, and what is taken for what."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from strokes import Alphabet, Formation, Kind, Letter, LetterError, Stroke, check, letter_from_ink
from strokes.checks import has_mirror_image
from strokes.modeling import trial
from strokes.simulation import Fault, write
from tests.cases import for_each
from tests.shipped import PRINT as ALPHABET
from tests.shipped import SLANTED

FEW = Alphabet("few", tuple(ALPHABET[name] for name in "agnqt"), ALPHABET.guide)


def of(names):
    """An alphabet of these letters alone."""
    return Alphabet(names, tuple(ALPHABET[name] for name in names))


@pytest.mark.parametrize("name", ["a", "t"])
def test_a_shipped_letter_passes(name):
    result = trial(ALPHABET[name], FEW, inks=3)

    assert result.passed
    assert (result.formed, result.share) == (3, 1.0)
    assert result.faults > 5
    assert name not in result.neighbors


def test_fifty_inks_are_the_usual_number():
    assert trial(ALPHABET["n"], of("n")).written == 50


def test_a_letter_that_was_just_written_passes():
    """From ink to a tried letter, as a teacher does it."""
    inks = [write(ALPHABET["n"], seed=seed, tremor=0.03) for seed in (5, 6)]

    assert trial(letter_from_ink("n", inks), FEW, inks=3).passed


def test_the_same_seed_gives_the_same_trial_and_another_one_other_ink():
    flat, two = Letter("g", (with_tail(0.06),)), of("gq")
    first, again, other = (trial(flat, two, inks=1, seed=seed) for seed in (1, 1, 2))

    assert first.confusions
    for entry, same in zip(first.confusions, again.confusions, strict=True):
        np.testing.assert_array_equal(entry.ink.traces[0].points, same.ink.traces[0].points)
    assert not np.array_equal(first.confusions[0].ink.bounds, other.confusions[0].ink.bounds)


def with_tail(size: float) -> Formation:
    """A g as taught, its tail hooking so far to the left, in x-heights: at nearly nothing it is a q."""
    path = ALPHABET["q"].taught.strokes[0].path
    return Formation("taught", (Stroke(np.vstack([path, path[-1] + (-size, -size / 2)])),))


def test_letters_that_differ_in_next_to_nothing_are_told_with_their_ink():
    """A g that lost its tail: the q of the alphabet is taken for it."""
    result = trial(Letter("g", (with_tail(0.06),)), FEW, inks=3)

    assert not result.passed
    assert [same.other for same in result.same] == ["q"]
    confused = [entry for entry in result.confusions if {entry.written, entry.taken} == {"g", "q"}]
    assert confused
    assert all(len(entry.ink) == 1 and entry.formation == "taught" for entry in confused)


def test_a_letter_of_the_same_name_in_the_alphabet_is_replaced_and_not_held_against_it():
    assert "a" not in {same.other for same in trial(ALPHABET["a"], of("ao"), inks=1).same}


def test_a_fault_that_an_accepted_formation_allows_is_none():
    """The second stroke of an x may come first: the trial does not complain that it passes."""
    assert Kind.ORDER not in {entry.fault.kind for entry in trial(ALPHABET["x"], of("x"), inks=1).unnoticed}


def test_a_letter_that_is_its_own_mirror_image_is_not_asked_for_reversal():
    unnoticed = trial(ALPHABET["o"], of("o"), inks=1).unnoticed

    assert Kind.REVERSAL not in {entry.fault.kind for entry in unnoticed}


@for_each("alphabet", [ALPHABET, SLANTED])
def test_every_letter_that_has_a_mirror_image_is_told_of_it_and_a_slanted_stem_has_none(alphabet):
    mirrored = [letter for letter in alphabet.letters if has_mirror_image(letter)]
    unnoticed = [
        letter.name
        for letter in mirrored
        if not check(write(letter, fault=Fault(Kind.REVERSAL), seed=1), letter, guide=alphabet.guide).findings
    ]

    assert unnoticed == []
    assert {"2", "3", "5", "E", "S", "s", "z"} <= {letter.name for letter in mirrored}
    assert not {"1", "I", "O", "0", "A"} & {letter.name for letter in mirrored}


@for_each("alphabet", [ALPHABET, SLANTED])
def test_letters_with_marks_of_one_base_are_not_one_drawing(alphabet):
    """An é drawn anew stands beside the ê that is composed: by a mean over the letter both are near."""
    for name in "éÉÈÖä":
        drawn = replace(alphabet[name], base="")

        assert trial(drawn, alphabet, inks=1).same == (), name


def test_a_fault_that_nothing_is_found_in_is_told_with_its_ink():
    """Two strokes on one line: nobody can see which of them came first, or that one is missing."""
    down = np.array([(0.0, -1.0), (0.0, 0.0)])
    twice = Letter("l", (Formation("taught", (Stroke(down, "Down."), Stroke(down, "And down."))),))

    result = trial(twice, of("o"), inks=4)
    assert not result.passed
    assert any(len(entry.ink) for entry in (*result.unnoticed, *result.not_formed))


def test_a_letter_alone_in_its_alphabet_has_no_neighbors():
    result = trial(ALPHABET["a"], of("a"), inks=2)

    assert result.neighbors == ()
    assert result.confusions == ()


def test_no_ink_is_no_trial():
    with pytest.raises(LetterError, match="at least one ink, not 0"):
        trial(ALPHABET["a"], FEW, inks=0)
