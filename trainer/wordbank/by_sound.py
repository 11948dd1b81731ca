"""Words by what is heard in them: rhymes, first sounds, the odd one out, chains in which one sound changes.

Only words of one syllable are compared by their rimes. Of words that sound the same (see, sea) the first
counts.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from typing import TypeVar

from trainer.wordbank.graphemes import Sounds
from trainer.wordbank.word import Word

Key = TypeVar("Key")
Item = TypeVar("Item")

ALIKE = 3
"""How many words of an odd-one-out set are alike."""

_Pattern = tuple[str | None, ...]
_NOWHERE = -1

_VISITS = 2000
"""How many words a search for a chain looks at before it takes the longest chain that it has."""


@dataclass(frozen=True)
class OddOneOut:
    """Words that are alike in one thing, and one that is not."""

    alike: tuple[Word, ...]
    odd: Word


def grouped(items: Iterable[Item], key: Callable[[Item], Key]) -> dict[Key, tuple[Item, ...]]:
    """The items by what `key` gives for each, in the order in which they come."""
    groups: dict[Key, list[Item]] = {}
    for item in items:
        groups.setdefault(key(item), []).append(item)
    return {name: tuple(group) for name, group in groups.items()}


def rhymes(words: Iterable[Word]) -> Mapping[Sounds, tuple[Word, ...]]:
    """The words that rhyme, two or more, by the sounds of their rime."""
    groups = grouped(_of_one_syllable(words), lambda word: word.rime)
    return {rime: group for rime, group in groups.items() if len(group) > 1}


def by_rime(words: Iterable[Word]) -> Mapping[tuple[str, Sounds], tuple[Word, ...]]:
    """The words by their rime, two or more that are spelled and sound alike: snow and crow, but not cow."""
    groups = grouped(_of_one_syllable(words), lambda word: (word.rime_letters, word.rime))
    return {rime: group for rime, group in groups.items() if len(group) > 1}


def by_first_sound(words: Iterable[Word]) -> Mapping[str, tuple[Word, ...]]:
    """The words by their first sound."""
    return grouped((word for word in words if word.sounds), lambda word: word.sounds[0])


def odd_in_rime(words: Iterable[Word]) -> tuple[OddOneOut, ...]:
    """For each rime with enough words three of them, and one with another vowel and another end."""
    plain = _of_one_syllable(words)
    return _odd(plain, rhymes(plain), lambda word, rime: not set(word.rime) & set(rime))


def odd_in_first_sound(words: Iterable[Word]) -> tuple[OddOneOut, ...]:
    """For each first sound with enough words three of them, and one that does not have the sound at all."""
    plain = _of_one_syllable(words)
    return _odd(plain, by_first_sound(plain), lambda word, sound: sound not in word.sounds)


def one_sound_apart(first: Word, second: Word) -> bool:
    """Whether the second word comes of the first by putting another sound in the place of one."""
    if len(first.sounds) != len(second.sounds):
        return False
    pairs = zip(first.sounds, second.sounds, strict=True)
    return sum(before != after for before, after in pairs) == 1


def chain(words: Iterable[Word], start: Word, length: int) -> tuple[Word, ...]:
    """From `start` a chain of at most `length` words; each has one other sound than the one before it.

    The sound that changes is another one than the last time where the words allow it, words that come
    earlier are taken first, and no sounds stand in it twice. It is shorter where the words do not give more,
    or where a search within bounds finds no more; `start` alone where nothing follows.
    """
    sharing: dict[_Pattern, list[Word]] = {}
    for word in _heard_once([start, *words]):
        for pattern in _patterns(word):
            sharing.setdefault(pattern, []).append(word)

    def following(word: Word, changed: int) -> Iterator[tuple[int, Word]]:
        patterns = _patterns(word)
        for place in sorted(range(len(patterns)), key=lambda place: place == changed):
            yield from ((place, other) for other in sharing.get(patterns[place], ()))

    path, longest = [start], [start]
    ways = [following(start, _NOWHERE)]
    for _ in range(_VISITS):
        if not ways or len(longest) >= length:
            break
        step = next(ways[-1], None)
        if step is None:
            ways.pop()
            path.pop()
            continue
        changed, word = step
        if word not in path:
            path.append(word)
            ways.append(following(word, changed))
            longest = max(longest, list(path), key=len)
    return tuple(longest[:length])


def chains(words: Iterable[Word], *, count: int, shortest: int, longest: int) -> tuple[tuple[Word, ...], ...]:
    """At most `count` chains of `shortest` to `longest` words that share none; earlier words begin them."""
    result: list[tuple[Word, ...]] = []
    left = list(_of_one_syllable(words))
    while left and len(result) < count:
        drawn = chain(left, left[0], longest)
        if len(drawn) >= shortest:
            result.append(drawn)
        else:
            drawn = drawn[:1]
        left = [word for word in left if word not in drawn]
    return tuple(result)


def _patterns(word: Word) -> Sequence[_Pattern]:
    """The sounds of a word with each of them left open once: words that share one differ there at most."""
    sounds: _Pattern = word.sounds
    return [(*sounds[:place], None, *sounds[place + 1 :]) for place in range(len(sounds))]


def _of_one_syllable(words: Iterable[Word]) -> Sequence[Word]:
    return _heard_once(word for word in words if word.syllables == 1)


def _heard_once(words: Iterable[Word]) -> Sequence[Word]:
    """The words that have boxes, those that sound the same as an earlier one left out."""
    by_sounds: dict[Sounds, Word] = {}
    for word in words:
        if word.boxes:
            by_sounds.setdefault(word.sounds, word)
    return tuple(by_sounds.values())


def _odd(
    words: Sequence[Word], groups: Mapping[Key, Sequence[Word]], differs: Callable[[Word, Key], bool]
) -> tuple[OddOneOut, ...]:
    sets = []
    for key, alike in groups.items():
        odd = next((word for word in words if differs(word, key)), None)
        if len(alike) >= ALIKE and odd is not None:
            sets.append(OddOneOut(tuple(alike[:ALIKE]), odd))
    return tuple(sets)
