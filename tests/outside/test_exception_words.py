"""Exception words are not offered sound by sound before what is odd in them was taught.

Source: Department for Education (2013), The national curriculum in England: framework document, English
Appendix 1, Year 1, "Common exception words"; programs may vary, and some of them follow a rule here.
"""

from __future__ import annotations

from string import ascii_lowercase

from trainer.wordbank import Taught, WordBank, shipped_words

LIST = """
    the a do to today of said says are were was is his has you your they be he me she we no go so by my here
    there where love come some one once ask friend school put push pull full house our
"""
"""All of that list but I, which is a capital."""

LISTED = LIST.split()

REGULAR = {"ask": "in General American its a is that of cat"}
"""Words that letters with their usual sounds are enough for, with the reason."""

BANK = WordBank(shipped_words())


def test_every_common_exception_word_is_in_the_bank() -> None:
    assert len(LISTED) == 44
    assert [word for word in LISTED if word not in BANK] == []


def test_none_is_offered_to_who_knows_the_letters_alone() -> None:
    offered = {word.text for word in BANK.offered(Taught(frozenset(ascii_lowercase)))}

    assert {word for word in LISTED if word in offered} == REGULAR.keys()
