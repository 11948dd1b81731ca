from dataclasses import replace
from datetime import UTC, date, datetime

import pytest

from strokes.kinds import Kind
from strokes.report import Finding
from tests.cases import for_each
from tests.shipped import PRINT as ALPHABET
from trainer.language.pieces import Piece
from trainer.language.texts import text
from trainer.language.wording import (
    NO_BREAK,
    day_words,
    finding_words,
    kind_name,
    listed,
    seen_words,
    teaching_words,
)

FOUND = Finding(Kind.START, 0.9, 0.45)


@for_each("kind", list(Kind))
def test_every_kind_has_a_name_and_advice_and_is_told_without_a_formation(kind):
    assert kind_name(kind)
    assert teaching_words(kind).endswith(".")
    assert finding_words(Finding(kind, 1.5, 0.3))


def test_a_finding_names_its_stroke_where_the_letter_has_several():
    x, c = ALPHABET["x"].taught, ALPHABET["c"].taught

    assert finding_words(replace(FOUND, stroke=1), x) == "began somewhere else than shown: stroke 2 of 2"
    assert finding_words(replace(FOUND, stroke=0), c) == "began somewhere else than shown"
    assert finding_words(replace(FOUND, stroke=1)) == "began somewhere else than shown: stroke 2"


def test_a_finding_in_a_part_of_a_stroke_names_the_part():
    finding = Finding(Kind.DIRECTION, 0.9, 0.5, stroke=0, part=(0.0, 0.3))

    assert finding_words(finding, ALPHABET["n"].taught).endswith(": the line down")


def test_a_stroke_that_the_alphabet_no_longer_has_is_not_told():
    assert finding_words(replace(FOUND, stroke=7), ALPHABET["c"].taught) == kind_name(Kind.START)


@pytest.mark.parametrize(
    ("finding", "said"),
    [
        (Finding(Kind.LETTER, 0.3, 0.7, letter="d"), "wrote another letter (d)"),
        (Finding(Kind.ORDER, 1.0, 0.0, order=(1, 0)), "made the strokes in the order 2, 1"),
        (Finding(Kind.SIZE, 1.6, 1.35), "wrote it too tall for the lines"),
        (Finding(Kind.SIZE, 0.5, 0.7), "wrote it too small for the lines"),
        (Finding(Kind.PLACE, -0.4, 0.25), "wrote it above the base line"),
        (Finding(Kind.PLACE, 0.4, 0.25), "wrote it below the base line"),
    ],
)
def test_what_is_known_of_the_amount_is_told(finding, said):
    assert finding_words(finding) == said


@for_each("piece", list(Piece))
def test_every_piece_of_a_stroke_has_a_name(piece):
    assert text(f"summary.piece.{piece}").startswith("the ")


def test_long_lists_of_names_are_cut_unless_every_one_must_be_there():
    names = ["Abel", "Brida", "Cosmo", "Dalia", "Edda"]

    assert listed([]) == ""
    assert listed(names[:1]) == "Abel"
    assert listed(names[:2]) == "Abel and Brida"
    assert listed(names) == "Abel, Brida, Cosmo and 2 more"
    assert listed(names, every=True) == "Abel, Brida, Cosmo, Dalia and Edda"


def test_letters_written_instead_are_told_in_brackets():
    assert seen_words(Kind.LETTER, ("d", "p")) == "wrote another letter (d, p)"


def test_the_other_case_of_a_letter_is_called_that() -> None:
    assert seen_words(Kind.LETTER, ("B",), "b") == "wrote the capital (B)"
    assert seen_words(Kind.LETTER, ("a",), ["A"]) == "wrote the small letter (a)"
    assert seen_words(Kind.LETTER, ("B", "d"), "b") == "wrote another letter (B, d)"
    assert seen_words(Kind.LETTER, ("B",), "P") == "wrote another letter (B)"
    assert finding_words(Finding(Kind.LETTER, 0.3, 0.6, letter="B"), None, "b") == "wrote the capital (B)"


def test_a_day_is_told_without_its_time():
    assert day_words(date(2026, 12, 3)) == f"3{NO_BREAK}Dec"
    assert day_words(datetime(2026, 9, 7, 11, 30, tzinfo=UTC), year=True) == f"7{NO_BREAK}Sep{NO_BREAK}2026"
