"""A school's own words beside the shipped ones, lines that a teacher typed, and what her group was taught."""

from __future__ import annotations

from collections.abc import Collection, Iterable, Mapping
from dataclasses import dataclass
from functools import lru_cache
from string import ascii_lowercase

from trainer.errors import WordError
from trainer.wordbank.bank import EXCEPTIONS, Taught, WordBank
from trainer.wordbank.files import shipped_words
from trainer.wordbank.graphemes import LETTERS
from trainer.wordbank.guessing import guess
from trainer.wordbank.word import Word, name_word, spelled

LONGEST_LINE = 80
"""Characters of a line that a teacher types: a word, or a word with its boxes."""


@dataclass(frozen=True)
class SchoolWords:
    """The bank of shipped and own words; an own word that cannot be read is `set_aside`, with its reason."""

    bank: WordBank
    set_aside: Mapping[str, str]


@dataclass(frozen=True)
class TypedLine:
    """A line that a teacher typed: its word, or what is wrong with it; the boxes are a guess unless given."""

    line: str
    word: Word | None = None
    guessed: bool = False
    wrong: str = ""


def school_words(own: Mapping[str, str]) -> SchoolWords:
    """The bank with a school's own words; the shipped ones stay as they are."""
    return _school_words(tuple(own.items()))


def taught(bank: WordBank, marked: Collection[str], written: Iterable[str] = ()) -> Taught:
    """What a group was taught: letters and spellings that were `marked`, and letters it has `written`.

    Names that mean nothing any more are passed over.
    """
    return Taught(
        letters=frozenset(set(ascii_lowercase).intersection(marked) | set(written)),
        spellings=frozenset(bank.graphemes.by_name.keys() & set(marked)) - set(ascii_lowercase),
        exceptions=EXCEPTIONS in marked,
    )


def names_offered(names: Iterable[str], letters: Collection[str]) -> tuple[Word, ...]:
    """The children's names that can be written with these letters, capitals among them, as words."""
    words = (name_word(name) for name in names if name.isalpha())
    return tuple(word for word in words if word.letters <= set(letters))


def markable(bank: WordBank) -> tuple[str, ...]:
    """All names that can be marked as taught, in the order of teaching: letters, spellings, EXCEPTIONS."""
    spellings = (way.name for way in bank.graphemes.correspondences if way.step != LETTERS)
    return (*ascii_lowercase, *spellings, EXCEPTIONS)


def read_lines(typed: str, bank: WordBank) -> tuple[TypedLine, ...]:
    """The lines that a teacher typed, a word each: `ship` gets boxes by a guess, `ship = sh i p` has them."""
    lines: list[TypedLine] = []
    met: set[str] = set()
    for line in filter(None, map(str.strip, typed.splitlines())):
        read = _read(line, bank)
        if read.word is not None:
            if read.word.text in met:
                continue  # typed twice
            met.add(read.word.text)
        lines.append(read)
    return tuple(lines)


def _read(line: str, bank: WordBank) -> TypedLine:
    if len(line) > LONGEST_LINE:
        start = line[:LONGEST_LINE]
        return TypedLine(start, wrong=f"a line must have at most {LONGEST_LINE} characters, not {len(line)}")
    text, equals, boxes = (part.strip() for part in line.partition("="))
    text = text.lower()
    if text in bank:
        return TypedLine(line, wrong=f"{text!r} is in the bank already")
    try:
        word = spelled(text, boxes, bank.graphemes) if equals else guess(text, bank.graphemes)
    except WordError as error:
        return TypedLine(line, wrong=str(error))
    return TypedLine(line, word, guessed=not equals)


@lru_cache(maxsize=8)
def _school_words(own: tuple[tuple[str, str], ...]) -> SchoolWords:
    shipped = shipped_words()
    known = {word.text for word in shipped.words}
    words, set_aside = [], {}
    for text, spelling in own:
        if text in known:
            continue  # shipped since it was added
        try:
            words.append(spelled(text, spelling, shipped.graphemes, everyday=True))
        except WordError as error:
            set_aside[text] = str(error)
    return SchoolWords(WordBank(shipped, words), set_aside)
