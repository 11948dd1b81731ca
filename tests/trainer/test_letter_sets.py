"""The letters of an alphabet by set, in teaching order; the letters of a child's own name."""

from pathlib import Path

import pytest

from strokes.alphabet import Alphabet
from strokes.errors import LetterFileError
from strokes.files import load_letter
from tests.cases import for_each
from tests.shipped import PRINT as ALPHABET
from trainer.language import text
from trainer.teaching.letter_sets import (
    NAME_LETTERS,
    by_set,
    name_letters,
    planned_letters,
    teaching_order,
)

SMALL = ALPHABET.only("small")


def without_order(*order: str) -> Alphabet:
    return Alphabet("own", ALPHABET.letters, ALPHABET.guide, ALPHABET.families, order)


def test_small_letters_come_first_then_capitals_then_digits() -> None:
    sets = by_set(teaching_order(ALPHABET))

    assert list(sets) == ["small", "capital", "digit"]
    assert [letter for own in sets.values() for letter in own] == list(teaching_order(ALPHABET))
    assert sorted(teaching_order(ALPHABET)) == sorted(ALPHABET)


def test_an_own_order_that_mixes_the_sets_is_taught_set_by_set() -> None:
    order = teaching_order(without_order("3", "B", "b", "A", "a"))

    assert order[:2] == ("b", "a")
    assert order[order.index("B") : order.index("B") + 2] == ("B", "A")
    assert order.index("z") < order.index("B") < order.index("Z") < order.index("3") < order.index("0")


def test_a_set_without_letters_is_none() -> None:
    assert list(by_set("b3a")) == ["small", "digit"]
    assert by_set("b3a")["small"] == ("b", "a")
    assert by_set("") == {}


@for_each(
    ("name", "letters"),
    [
        ("Anna", "Ana"),
        ("anna", "Ana"),
        ("ANNA", "Ana"),
        ("Anna-Lena B", "AnaLeB"),
        ("Mc Kay", "McKay"),
        ("McKay", "McKay"),
        ("Anna 2", "Ana"),
        ("Ümit", "mit"),
        ("Anna_O'Neil", "AnaONeil"),
        ("", ""),
        ("42", ""),
        ("安娜", ""),
    ],
)
def test_the_letters_of_a_name_are_a_capital_and_small_ones_each_once(name: str, letters: str) -> None:
    basic = Alphabet("basic", tuple(letter for letter in ALPHABET.letters if letter.name.isascii()))

    assert name_letters(name, basic) == tuple(letters)


def test_a_letter_with_a_mark_counts_where_the_alphabet_has_it_however_it_was_typed() -> None:
    assert name_letters("Zoé", SMALL) == name_letters("Zoe\u0301", SMALL) == ("o", "é")


def test_an_alphabet_without_capitals_has_the_small_letters_of_the_name() -> None:
    assert name_letters("Anna", SMALL) == ("n", "a")


def test_the_guest_has_no_name() -> None:
    assert name_letters(text("practice.cards.guest"), ALPHABET) == ()


def test_a_plan_means_the_letters_of_each_childs_own_name_where_it_says_so() -> None:
    plan = ("b", NAME_LETTERS, "3")

    assert planned_letters(plan, "Abel", ALPHABET) == ("b", "A", "e", "l", "3")
    assert planned_letters(plan, "Joris", ALPHABET) == ("b", "J", "o", "r", "i", "s", "3")
    assert planned_letters(plan, "", ALPHABET) == ("b", "3")
    assert planned_letters(("3", "ab"), "Abel", SMALL) == ()


def test_no_letter_can_have_the_name_that_stands_for_the_letters_of_a_name(tmp_path: Path) -> None:
    file = tmp_path / "x.svg"
    file.write_text(
        f'<svg xmlns="http://www.w3.org/2000/svg"><title>{NAME_LETTERS}</title>'
        '<g id="taught"><path d="M0 -100 L0 0"><title>Down.</title></path></g></svg>'
    )

    with pytest.raises(LetterFileError, match="1 to 8 visible characters"):
        load_letter(file)
