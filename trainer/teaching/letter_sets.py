"""The letters of an alphabet in teaching order and by set; the letters of a child's own name.

Small letters come before capitals, and capitals before digits: that is the order in which new letters come
by themselves. The letters of the own name come earlier: they are the ones that children know and write first
(Puranik 2014).
"""

from __future__ import annotations

import re
from collections.abc import Callable, Iterable, Mapping, Sequence
from unicodedata import normalize

from strokes.alphabet import Alphabet
from strokes.letter import SETS, LetterSet, set_of
from trainer.errors import UsageError
from trainer.language import text

NAME_LETTERS = "name-letters"
"""What stands in a plan for the letters of each child's own name; longer than the name of any letter."""


def teaching_order(*alphabets: Alphabet) -> tuple[str, ...]:
    """All letters of these alphabets, set by set; in each those with a place in an order, then the others.

    Where groups of a class write several alphabets, the order of the first one goes before.
    """
    order = tuple(dict.fromkeys(letter for alphabet in alphabets for letter in alphabet.order))
    every = {letter for alphabet in alphabets for letter in alphabet}
    return tuple(sorted(every, key=place_in(order)))


def taught_to_all(*alphabets: Alphabet) -> tuple[str, ...]:
    """The letters that are practiced without a plan: those with a place in the order of their alphabet.

    All of an alphabet that gives none. The others, as those composed with marks in the shipped alphabets,
    are practiced where they are planned or stand in a child's name.
    """
    taught = {letter for alphabet in alphabets for letter in (alphabet.order or alphabet)}
    return tuple(letter for letter in teaching_order(*alphabets) if letter in taught)


def place_in(order: Sequence[str]) -> Callable[[str], tuple[int, int, str]]:
    """A sort key for letters: by set, by their place in `order`, and the others after them by name."""
    places = {letter: place for place, letter in enumerate(order)}
    return lambda letter: (SETS.index(set_of(letter)), places.get(letter, len(places)), letter)


def by_set(letters: Iterable[str]) -> Mapping[LetterSet, tuple[str, ...]]:
    """The letters of each set that has some, in the order in which they are given."""
    given = tuple(letters)
    sets = {name: tuple(letter for letter in given if set_of(letter) == name) for name in SETS}
    return {name: own for name, own in sets.items() if own}


def name_letters(name: str, alphabet: Alphabet) -> tuple[str, ...]:
    """The letters of a display name, each once, as far as the alphabet has them.

    Each word of the name begins with a capital and goes on in small letters; a word of both, such as McKay,
    is taken as it stands. Digits tell pupils of one name apart, and the guest's card bears no name.
    """
    return tuple(letter for letter in dict.fromkeys("".join(_names(name))) if letter in alphabet)


def own_name(name: str) -> str:
    """The first word of a display name as it is written; empty for the guest, and where it has no letter."""
    return next(iter(_names(name)), "")


def _names(name: str) -> list[str]:
    """The words of a display name, spelled; the guest's card bears no name."""
    if name == text("practice.cards.guest"):
        return []
    words = re.split(r"[\W\d_]+", normalize("NFC", name))
    return [_spelled(word) for word in words if word]


def _spelled(word: str) -> str:
    if not (word.isupper() or word.islower()):
        return word
    first = word[0].upper()
    return (first if len(first) == 1 else word[0]) + word[1:].lower()


def planned_letters(plan: Iterable[str], name: str, alphabet: Alphabet) -> tuple[str, ...]:
    """The letters that a plan means for the pupil of this name, each once; those the alphabet has."""
    letters = (
        letter
        for entry in plan
        for letter in (name_letters(name, alphabet) if entry == NAME_LETTERS else (entry,))
    )
    return tuple(letter for letter in dict.fromkeys(letters) if letter in alphabet)


def typed_letters(typed: Sequence[str], alphabet: Alphabet) -> list[str]:
    """Letter names from words such as `c o a d`, `c,o,a,d` or `coad`.

    Raises UsageError for a letter that the alphabet does not have, and for none at all.
    """
    words = [word for argument in typed for word in re.split(r"[\s,;]+", argument) if word]
    letters = [letter for word in words for letter in ([word] if word in alphabet else word)]
    for letter in letters:
        if letter not in alphabet:
            raise UsageError(
                f"{letter!r} is not a letter of the alphabet {alphabet.name}: {' '.join(alphabet)}"
            )
    if not letters:
        raise UsageError("there must be at least one letter, not none")
    return letters
