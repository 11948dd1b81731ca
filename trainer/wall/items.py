"""What the wall shows: letters, words and rhyme rounds, each in the letterforms of the group it is for."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING, TypeAlias

from strokes.alphabet import Alphabet
from trainer.errors import UsageError

if TYPE_CHECKING:
    from trainer.teaching.word_offers import RhymeRound
    from trainer.wordbank import Word


@dataclass(frozen=True)
class WallLetter:
    """A letter of an alphabet, written stroke by stroke."""

    letter: str
    alphabet: Alphabet


@dataclass(frozen=True)
class WallWord:
    """A word that is heard, counted, written and read; one without sound boxes is written and read alone.

    The alphabet must have all its letters.
    """

    word: Word
    alphabet: Alphabet


@dataclass(frozen=True)
class WallRhymes:
    """Words of which those that rhyme are found, and the words that another first sound makes."""

    rhymes: RhymeRound
    alphabet: Alphabet


Item: TypeAlias = WallLetter | WallWord | WallRhymes


@dataclass(frozen=True)
class Planned:
    """What of a plan the wall shows.

    A word that is `left_out` is in no list, so that it may be a child's name, or has letters that are not in
    the alphabet.
    """

    items: tuple[Item, ...]
    left_out: tuple[str, ...] = ()


def typed_items(typed: Sequence[str], alphabet: Alphabet, own: Mapping[str, str]) -> tuple[Item, ...]:
    """What a teacher typed, in that order: letters of the alphabet, and words of the lists or her `own`.

    Raises UsageError for anything else.
    """
    from trainer.wordbank import school_words

    bank = school_words(own).bank
    items: list[Item] = []
    for text in typed:
        word = bank.get(text) or bank.get(text.lower())
        if text in alphabet:
            items.append(WallLetter(text, alphabet))
        elif word is None:
            raise UsageError(
                f"the wall shows letters of the alphabet {alphabet.name} and words of the lists, and "
                f"{text[:40]!r} is neither; trainer words add takes a word in"
            )
        elif lacking := sorted(word.letters - set(alphabet)):
            raise UsageError(f"the alphabet {alphabet.name} must have {lacking[0]!r} for {text!r}")
        else:
            items.append(WallWord(word, alphabet))
    return tuple(items)


def planned_items(
    letters: Sequence[str], words: Sequence[str], alphabet: Alphabet, own: Mapping[str, str]
) -> Planned:
    """The plan of a group: its letters, then its words.

    What stands there for the letters of each child's own name is no letter, and is passed over, as are
    letters that the alphabet does not have.
    """
    from trainer.wordbank import school_words

    bank = school_words(own).bank
    known = [word for text in words if (word := bank.get(text)) and word.letters <= set(alphabet)]
    shown = {word.text for word in known}
    items: list[Item] = [
        *(WallLetter(letter, alphabet) for letter in letters if letter in alphabet),
        *(WallWord(word, alphabet) for word in known),
    ]
    return Planned(tuple(items), tuple(text for text in words if text not in shown))
