"""Every shipped word against the CMU Pronouncing Dictionary, sound by sound (source: tests/pronounced.py).

The dictionary has no boxes: which letters stand for which sound is our own.
"""

from __future__ import annotations

from tests.pronounced import pronunciations
from trainer.wordbank import PHONEMES, Word, shipped_words, spelled

SHORT_O = "before g, f, s, th and ng the dictionary has AO; where cot and caught sound alike the vowel is one"
LONG_EAR = "the dictionary gives hear IY, and near, dear and fear IH; one sound before r in General American"
DOOR = "the dictionary gives poor UW; it rhymes with door for most, and is taught with it"
SAW = "the dictionary gives raw AA, and saw, law and paw AO"

REASONS = {
    SHORT_O: "broth cloth dog frost gone gong loft log long loss lost moss moth off prong song strong toss "
    "wrong",
    LONG_EAR: "hear",
    DOOR: "poor",
    SAW: "raw",
}
DIFFERENT = {word: reason for reason, words in REASONS.items() for word in words.split()}
"""Words that sound otherwise in the dictionary, with the reason."""

CHECKED = {
    "at": "a t",
    "off": "o ff",
    "miss": "m i ss",
    "ship": "sh i p",
    "them": "th:DH e m",
    "when": "wh e n",
    "catch": "c a tch",
    "bank": "b a n:NG k",
    "frog": "f r o g",
    "cake": "c a-e k",
    "rain": "r ai n",
    "snow": "s n ow",
    "cow": "c ow:AW",
    "book": "b oo:UH k",
    "light": "l igh t",
    "bird": "b ir d",
    "fox": "f o x",
    "quiz": "qu i z",
    "cube": "c u-e:Y+UW b",
    "car": "c ar",
    "fork": "f or k",
    "chair": "ch air",
}
"""Boxes from the project's trade facts, section 5, where the phonemes were checked against the dictionary."""


def dictionary_sounds(word: Word) -> tuple[str, ...]:
    """The dictionary's phonemes in a word: a sound that is taught as one may be two of them."""
    return tuple(part for sound in word.sounds for part in PHONEMES[sound].parts)


def test_there_are_words_enough() -> None:
    words = shipped_words().words

    assert sum(word.syllables == 1 for word in words) >= 500
    assert sum(word.syllables == 2 for word in words) >= 80


def test_every_word_sounds_as_in_the_dictionary_but_for_those_with_a_reason() -> None:
    said = pronunciations()
    words = shipped_words().words

    assert not {word.text for word in words} - said.keys()
    assert {word.text for word in words if dictionary_sounds(word) not in said[word.text]} == DIFFERENT.keys()


def test_a_word_that_sounds_otherwise_differs_in_one_vowel_alone() -> None:
    words = {word.text: word for word in shipped_words().words}
    for text in DIFFERENT:
        own = dictionary_sounds(words[text])
        assert any(
            len(own) == len(said) and sum(ours != theirs for ours, theirs in zip(own, said, strict=True)) == 1
            for said in pronunciations()[text]
        ), text


def test_words_whose_boxes_were_checked_before_have_these_boxes() -> None:
    bank = shipped_words()
    shipped = {word.text: word for word in bank.words}
    for text, spelling in CHECKED.items():
        assert shipped[text].boxes == spelled(text, spelling, bank.graphemes).boxes
