"""Words of the school's own and what a group was taught: kept in the record, read as they are typed."""

from __future__ import annotations

import pytest

from tests.trainer.older import made_before
from trainer.errors import WordError
from trainer.record import tables
from trainer.record.migrations import WORDS
from trainer.record.record import Record
from trainer.record.words import MOST_WORDS
from trainer.wordbank import (
    EXCEPTIONS,
    LONGEST_LINE,
    markable,
    names_offered,
    notation,
    read_lines,
    school_words,
    taught,
)

BANK = school_words({}).bank


# In the record


def test_own_words_are_kept_in_the_order_of_the_alphabet(record: Record) -> None:
    record.words.add({"slipway": "s l i p w ay", "jetty": "j e tt y:IY"})

    assert record.words.own() == {"jetty": "j e tt y:IY", "slipway": "s l i p w ay"}
    assert list(record.words.own()) == ["jetty", "slipway"]


def test_words_are_added_all_or_none(record: Record) -> None:
    record.words.add({"jetty": "j e tt y:IY"})

    with pytest.raises(WordError, match="'jetty' is among the school's own already"):
        record.words.add({"slipway": "s l i p w ay", "jetty": "j e tt y:IY"})

    assert list(record.words.own()) == ["jetty"]


def test_a_word_that_is_taken_away_gives_its_spelling_to_put_it_back(record: Record) -> None:
    record.words.add({"jetty": "j e tt y:IY"})

    spelling = record.words.remove("jetty")
    assert record.words.own() == {}
    record.words.add({"jetty": spelling})

    assert record.words.own() == {"jetty": "j e tt y:IY"}


def test_only_an_own_word_can_be_taken_away(record: Record) -> None:
    with pytest.raises(WordError, match="only a word of the school's own can be taken away, 'ship' is none"):
        record.words.remove("ship")


def test_a_school_has_so_many_words_and_no_more(record: Record) -> None:
    record.words.add({f"w{number}": "w" for number in range(MOST_WORDS)})

    with pytest.raises(WordError, match=f"at most {MOST_WORDS} words of its own, these would make 2001"):
        record.words.add({"one": "w"})


def test_what_a_group_was_taught_is_kept_for_it_alone_and_goes_with_it(record: Record) -> None:
    for group in ("Quay", "Slipway"):
        record.pupils.add("Nella", group=group)
    record.words.set_taught("Quay", {"sh:SH", "ck:K"})
    record.words.set_taught("Quay", {"sh:SH"})

    assert record.words.taught("Quay") == {"sh:SH"}
    assert record.words.taught("Slipway") == frozenset()
    record.erasure.remove_group("Quay")
    assert record.words.taught("Quay") == frozenset()


def test_a_record_kept_before_there_were_words_is_opened_and_keeps_its_plans(place, monkeypatch) -> None:
    old = made_before(WORDS, place, monkeypatch)
    with old.writing() as connection:
        connection.execute(tables.plan.insert().values(class_group="Quay", place=0, letter="h"))
    old.close()

    with Record.open(place) as record:
        assert record.plans.get("Quay") == ("h",)
        assert record.words.own() == {}
        assert record.words.taught("Quay") == frozenset()


# The bank of a school


def test_an_own_word_never_takes_the_place_of_a_shipped_one() -> None:
    school = school_words({"ship": "s h:HH i p"})

    assert [box.grapheme for box in school.bank["ship"].boxes] == ["sh", "i", "p"]
    assert school.bank.own == ()


def test_an_own_word_that_cannot_be_read_is_set_aside_and_the_others_are_offered() -> None:
    school = school_words({"jetty": "j e tt y:IY", "zug": "z u"})

    assert "jetty" in school.bank
    assert "zug" not in school.bank
    assert school.set_aside == {
        "zug": "letters and boxes do not add up: the word is 'zug', and the boxes spell 'zu'"
    }


# What was taught


def test_letters_that_were_written_count_besides_what_was_marked() -> None:
    known = taught(BANK, {"sh:SH", "b", EXCEPTIONS, "gone:XX"}, ["a", "N"])

    assert known.letters == {"a", "b", "N"}
    assert known.spellings == {"sh:SH"}
    assert known.exceptions


def test_every_name_that_can_be_marked_fits_into_the_record() -> None:
    length = tables.taught.c.name.type.length

    assert len(set(markable(BANK))) == len(markable(BANK))
    assert all(len(name) <= length for name in markable(BANK))


def test_a_name_is_offered_once_all_its_letters_were_written() -> None:
    names = ["Nora", "Nils", "Mika 2", "Anna-Lena"]

    assert [word.text for word in names_offered(names, set("Norails") - {"s"})] == ["Nora"]


# Typed lines


def test_a_word_alone_gets_a_guess_and_boxes_that_are_given_are_taken() -> None:
    guess, given = read_lines("gangplank\n\n  Buoy = b u:UW oy:IY!  \n", BANK)

    assert guess.word is not None
    assert given.word is not None
    assert (guess.guessed, notation(guess.word, BANK.graphemes)) == (True, "g a ng p l a n:NG k")
    assert (given.guessed, given.word.text) == (False, "buoy")


@pytest.mark.parametrize(
    ("line", "wrong"),
    [
        ("ship", "'ship' is in the bank already"),
        ("buoy = b oy", "letters and boxes do not add up: the word is 'buoy', and the boxes spell 'boy'"),
        ("two words", "a word must be 1 to 12 small letters a to z, not 'two words'"),
        ("= sh i p", "a word must be 1 to 12 small letters a to z, not ''"),
        ("x" * 200, f"a line must have at most {LONGEST_LINE} characters, not 200"),
    ],
)
def test_a_line_that_is_no_word_says_why(line: str, wrong: str) -> None:
    (read,) = read_lines(line, BANK)

    assert (read.word, read.wrong) == (None, wrong)


def test_a_word_that_is_typed_twice_is_read_once() -> None:
    assert [line.line for line in read_lines("jetty\nJetty\nbuoy", BANK)] == ["jetty", "buoy"]
