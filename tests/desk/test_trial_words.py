"""The outcome of a trial in words: where two letters differ, what is mistaken, what nobody would notice."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from strokes.alphabet import Alphabet
from strokes.checks import check
from strokes.kinds import Kind
from strokes.letter import Formation, Letter, Stroke
from strokes.modeling import NotFormed, trial
from strokes.polyline import Polyline
from strokes.simulation import Fault, write
from tests.shipped import PRINT
from trainer.desk import trial_words

FEW = Alphabet("few", tuple(PRINT[name] for name in "dlnoqx"), PRINT.guide)


def letter(name: str, *lines: Polyline) -> Letter:
    return Letter(name, (Formation("taught", tuple(Stroke(np.asarray(line), "Go.") for line in lines)),))


def changed(name: str, new: str, end: tuple[float, float]) -> Letter:
    """A letter of the alphabet under another name, its last stroke led on by a little."""
    lines = [stroke.path for stroke in PRINT[name].taught.strokes]
    lines[-1] = np.vstack([lines[-1], lines[-1][-1] + end])
    return letter(new, *lines)


def test_two_letters_that_differ_only_in_the_tail_are_told_with_pictures_and_ink() -> None:
    almost_q = changed("q", "g", (-0.06, -0.03))

    result = trial(almost_q, FEW, inks=6)
    (mistake,) = [each for each in trial_words.mistakes(result, almost_q, FEW) if "q" in each.sentence]

    assert mistake.sentence.startswith("g and q of this alphabet are nearly the same drawing.")
    assert "was taken for" in mistake.sentence
    assert len(mistake.pictures) == 3
    assert not result.passed


@pytest.mark.parametrize(
    ("made", "other", "words"),
    [
        (changed("q", "g", (-0.5, -0.1)), "q", "differ only in the tail, below the base line"),
        (changed("o", "ó", (0.0, 0.0)), "o", "are nearly the same drawing"),
        (letter("h", [(0.0, -1.6), (0.0, 0.0)]), "l", "differ only above the x-height line"),
        (letter("c", *[[(0.5, -0.9), (0.0, -0.5), (0.5, 0.0)]]), "o", "differ only between"),
        (letter("z", [(0.0, -2.0), (1.5, 1.0)]), "n", "are near to each other"),
    ],
    ids=["tail", "same", "top", "middle", "elsewhere"],
)
def test_where_two_letters_differ_is_told(made: Letter, other: str, words: str) -> None:
    assert words in trial_words._difference(made, PRINT[other])


def test_a_shipped_letter_is_told_as_good() -> None:
    result = trial(PRINT["n"], FEW, inks=8)

    said = " ".join(trial_words.sentences(result))

    assert trial_words.mistakes(result, PRINT["n"], FEW) == []
    assert "wrote it 8 times: 8 came back well formed" in said
    assert f"made on purpose: {result.faults}. Told: {result.faults}." in said
    assert "stays apart" in said


def test_a_fault_that_nobody_would_notice_is_told_with_its_stroke() -> None:
    down = np.array([(0.0, -1.0), (0.0, 0.0)])
    twice = letter("i", down, down)

    result = trial(twice, FEW, inks=2)
    lines_told = [
        each.sentence for each in trial_words.mistakes(result, twice, FEW) if "Not noticed" in each.sentence
    ]

    assert lines_told
    assert all("(stroke " in sentence for sentence in lines_told)


def test_what_was_read_as_a_fault_is_counted() -> None:
    outcome = trial(PRINT["n"], FEW, inks=1)
    ink = write(PRINT["n"], fault=Fault(Kind.DIRECTION))
    wrong = NotFormed("taught", ink, check(ink, PRINT["n"], guide=PRINT.guide))

    said = trial_words.sentences(replace(outcome, written=3, formed=1, not_formed=(wrong, wrong)))

    assert said[:2] == [
        "A simulated hand wrote it 3 times: 1 came back well formed and looked right.",
        "Read as a fault 2 times: the hand ran the pen the other way along a stroke.",
    ]
