"""Which words a child is offered, with how much help they are begun, and which chunk of one she knows; pure.

Not imported with the room: reading the words takes time that the window has only once a word is practiced.
"""

from __future__ import annotations

import re
from collections.abc import Collection, Iterable, Mapping, Sequence
from dataclasses import dataclass

from strokes.alphabet import Alphabet
from trainer.attempt import Attempt, Step
from trainer.errors import WordError
from trainer.teaching import letter_offers
from trainer.teaching.letter_sets import own_name
from trainer.wordbank import Sounds, Word, by_sound, name_word, school_words, taught

MOST = 12
"""Words that are offered in one session; ten minutes are enough for three or four."""

LONGEST = 20
"""Letters of a word that is planned; a name may be longer than the words of the lists."""

HALF, LEAST = 3, 2
"""Words of a rhyme round that rhyme, at most and at least; as many do not."""


def offered(
    attempts: Iterable[Attempt],
    *,
    alphabet: Alphabet,
    own: Mapping[str, str],
    marked: Collection[str],
    planned: Sequence[str],
    due: Sequence[str],
    name: str,
    count: int = MOST,
) -> tuple[Word, ...]:
    """The words of this session: those a teacher named, then what can be written, and the child's own name.

    A child can write what her group was taught, as it is `marked`, and the letters that she wrote here; words
    with letters that are `due` come first. A planned word that is in no list is practiced by its letters
    alone, as a name is; one with a letter that the alphabet does not have is left out.
    """
    bank = school_words(own).bank
    known = able(attempts, alphabet=alphabet, own=own, marked=marked, due=due)
    named = [bank.get(text) or name_word(text) for text in planned]
    own_name_word = [name_word(text)] if (text := own_name(name)) else []
    can_be_written = [word for word in named if word.letters <= set(alphabet)]
    others = list(dict.fromkeys([*can_be_written, *known]))[: max(count - len(own_name_word), len(named))]
    return tuple(dict.fromkeys([*others, *(word for word in own_name_word if word.letters <= set(alphabet))]))


def able(
    attempts: Iterable[Attempt],
    *,
    alphabet: Alphabet,
    own: Mapping[str, str],
    marked: Collection[str],
    due: Sequence[str] = (),
) -> tuple[Word, ...]:
    """All words that this child can write, those of every day first."""
    bank = school_words(own).bank
    written = {attempt.letter for attempt in attempts if attempt.finished}
    known = bank.offered(taught(bank, marked, written), due)
    return tuple(word for word in known if word.letters <= set(alphabet))


@dataclass(frozen=True)
class RhymeRound:
    """Words to choose from, of which those that are `rhyming` end in the sounds of `word`.

    `made` are words with one sound before the same rime, spelled alike; there may be none.
    """

    word: Word
    options: tuple[Word, ...]
    rhyming: frozenset[str]
    made: tuple[Word, ...]


def rhyme_round(word: Word, words: Iterable[Word]) -> RhymeRound | None:
    """A round with words that a child can write; None where fewer than two of them rhyme, or do not.

    No two options sound the same; they stand in the order of the alphabet, which tells nothing of rhymes.
    """
    heard: dict[Sounds, Word] = {word.sounds: word}
    for other in words:
        if other.syllables == 1 and other.onset:
            heard.setdefault(other.sounds, other)
    others = list(heard.values())[1:]
    if word.syllables != 1 or not word.onset:
        return None
    rhyming = [other for other in others if other.rime == word.rime][:HALF]
    unlike = [other for other in others if not set(other.rime) & set(word.rime)][: len(rhyming)]
    if min(len(rhyming), len(unlike)) < LEAST:
        return None
    end = word.rime_letters
    same = [other for other in others if (other.rime, other.rime_letters) == (word.rime, end)]
    made = [other for other in same if len(other.onset) == 1]
    options = sorted([*rhyming, *unlike], key=lambda other: other.text)
    texts = frozenset(other.text for other in rhyming)
    return RhymeRound(word, tuple(options), texts, tuple(made[:HALF]))


def opening(word: Word, attempts: Sequence[Attempt]) -> Step:
    """With which help a word is written first today, from the child's attempts so far, oldest first.

    One that was written before begins a step higher than it ended, a new one with the help that the letter
    of it that is known least has reached, but never from memory.
    """
    last = [attempt for attempt in attempts if attempt.in_word and attempt.in_word.word == word.text]
    finished = [attempt for attempt in last if attempt.finished]
    if finished:
        ended, at_end = finished[-1], len(word.text) - 1
        whole = ended.in_word is not None and ended.in_word.place == at_end
        return (letter_offers.above(ended.step) or Step.RECALL) if whole else ended.step
    steps = [
        letter_offers.opening([a for a in attempts if a.letter == letter and a.in_word is None])
        for letter in word.letters
    ]
    return min((Step.COPY, *steps), key=letter_offers.LADDER.index)


def chunk(word: Word, before: Word | None) -> tuple[int, ...]:
    """The places of the letters of a rime that the word before had as well, spelled alike; else none."""
    if before is None or before == word or not word.boxes or not before.boxes:
        return ()
    if (word.rime, word.rime_letters) != (before.rime, before.rime_letters):
        return ()
    return tuple(range(len(word.text) - len(word.rime_letters), len(word.text)))


def following(word: Word, words: Sequence[Word]) -> Word | None:
    """The word of today after this one; None after the last."""
    texts = [other.text for other in words]
    if word.text not in texts:
        return None
    return next(iter(words[texts.index(word.text) + 1 :]), None)


def planned(typed: str, alphabets: Iterable[Alphabet]) -> tuple[str, ...]:
    """The words that a teacher typed for a plan, with blanks or commas between, each once.

    Raises WordError: what a word must be, and what is there; each of the alphabets must have its letters.
    """
    letters = set.intersection(*map(set, alphabets))
    texts = [text for text in re.split(r"[\s,;]+", typed) if text]
    for text in texts:
        if not text.isalpha() or len(text) > LONGEST:
            raise WordError(
                f"a planned word must have 1 to {LONGEST} letters and nothing else, not {text[:40]!r}"
            )
        if lacking := sorted(set(text) - letters):
            raise WordError(
                f"a planned word must have letters of the alphabet, and {text!r} has {lacking[0]!r}"
            )
    return tuple(dict.fromkeys(texts))


def in_rimes(words: Sequence[Word]) -> tuple[Word, ...]:
    """The words with those of one rime one after the other, each rime where its first word stands."""
    rimes = by_sound.by_rime(words)
    ordered: dict[str, Word] = {}
    for word in words:
        for other in (word, *rimes.get((word.rime_letters, word.rime), ())):
            ordered.setdefault(other.text, other)
    return tuple(ordered.values())
