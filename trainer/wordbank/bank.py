"""What can be offered: from what a group was taught exactly the words that can be written with it."""

from __future__ import annotations

from collections.abc import Collection, Iterable, Mapping
from dataclasses import dataclass
from functools import cached_property
from itertools import pairwise

from trainer.wordbank.by_sound import grouped
from trainer.wordbank.files import WordList
from trainer.wordbank.graphemes import LETTERS, Correspondence, Graphemes
from trainer.wordbank.word import Word

BLENDS, SYLLABLES, EXCEPTIONS = "blends", "syllables", "exceptions"
"""Sets of words beside those named for a step: two consonants in a row, two syllables, exception words."""

_SPELLED = (LETTERS, "doubles")
"""Steps whose words are told apart by whether two consonants stand in a row."""


@dataclass(frozen=True)
class Taught:
    """What a group was taught.

    `letters` are those it can write, `spellings` the names of correspondences such as `ow:AW`. A letter's
    usual sound comes with the letter. With `exceptions`, words may have boxes that no rule gives.
    """

    letters: frozenset[str] = frozenset()
    spellings: frozenset[str] = frozenset()
    exceptions: bool = False


class WordBank:
    """Words ready to be offered; the shipped ones and a school's own.

    What a word needs is held as the bits of one number, so that a whole class is answered at once.
    """

    def __init__(self, shipped: WordList, own: Iterable[Word] = ()) -> None:
        self.graphemes: Graphemes = shipped.graphemes
        self.own = tuple(own)
        self.sets = shipped.sets
        places = {name: place for place, name in enumerate(self.set_names)}
        self.words = tuple(
            sorted(
                (*self.own, *shipped.words),
                key=lambda word: (not word.everyday, places[self.set_of(word)]),
            )
        )
        self._by_text = {word.text: word for word in self.words}
        needs = [self.needs(word) for word in self.words]
        self._bits = {name: 1 << place for place, name in enumerate(sorted(set().union(*needs)))}
        self._needs = [self._sum(names) for names in needs]
        self._letters = [self._sum(word.letters) for word in self.words]
        self._everyday = [word.everyday for word in self.words]

    def __contains__(self, text: object) -> bool:
        return text in self._by_text

    def __getitem__(self, text: str) -> Word:
        return self._by_text[text]

    def get(self, text: str) -> Word | None:
        """The word of that text, if there is one."""
        return self._by_text.get(text)

    def needs(self, word: Word) -> frozenset[str]:
        """What must be taught for a word: its letters, its correspondences, and EXCEPTIONS for odd boxes."""
        spellings = {way.name for way in self.ways(word) if way.step != LETTERS}
        return word.letters | spellings | ({EXCEPTIONS} if word.irregular else frozenset())

    def ways(self, word: Word) -> tuple[Correspondence, ...]:
        """The correspondences of its regular boxes, in their order."""
        ways = (self.graphemes.way(box.grapheme, box.sounds) for box in word.boxes if not box.irregular)
        return tuple(way for way in ways if way is not None)

    def offered(self, taught: Taught, due: Collection[str] = ()) -> tuple[Word, ...]:
        """Exactly the words that can be written with what was taught.

        Everyday words come first; among equals those with the most letters that are `due` for practice, then
        the order of the bank.
        """
        known = self._sum(taught.letters | taught.spellings)
        if taught.exceptions:
            known |= self._sum([EXCEPTIONS])
        lacking = ~known
        places = [place for place, needs in enumerate(self._needs) if not needs & lacking]
        wanted = self._sum(due)
        letters, everyday = self._letters, self._everyday
        if wanted:
            places.sort(key=lambda place: (not everyday[place], -(letters[place] & wanted).bit_count()))
        return tuple(self.words[place] for place in places)

    def set_of(self, word: Word) -> str:
        """The set that a word stands in: EXCEPTIONS, SYLLABLES, BLENDS, or the last step it needs."""
        if word.irregular:
            return EXCEPTIONS
        if word.syllables > 1:
            return SYLLABLES
        steps = list(self.graphemes.steps)
        step = max((way.step for way in self.ways(word)), key=steps.index)
        consonants = [not box.vowel for box in word.boxes]
        in_a_row = any(first and second for first, second in pairwise(consonants))
        return BLENDS if step in _SPELLED and in_a_row else step

    @cached_property
    def set_names(self) -> tuple[str, ...]:
        """The sets in the order of teaching."""
        names = [name for name in self.graphemes.steps if name != SYLLABLES]
        place = names.index(_SPELLED[-1]) + 1
        return (*names[:place], BLENDS, *names[place:], SYLLABLES, EXCEPTIONS)

    def by_set(self, words: Iterable[Word]) -> Mapping[str, tuple[Word, ...]]:
        """The words by their sets, in the order of teaching; sets without words are left out."""
        sets = grouped(words, self.set_of)
        return {name: sets[name] for name in self.set_names if name in sets}

    def example(self, way: Correspondence) -> Word | None:
        """The first word in which letters sound so, for a label such as ow as in snow."""
        return self._examples.get(way.name)

    @cached_property
    def _examples(self) -> dict[str, Word]:
        examples: dict[str, Word] = {}
        plainest = sorted(
            (word for word in self.words if not word.irregular),
            key=lambda word: (word.syllables, not word.everyday, len(word.text)),
        )
        for word in plainest:
            first, *others = self.ways(word)
            examples.setdefault(first.name, word)
            for way in others:
                if way.step != LETTERS or way.grapheme == "x":  # a letter is best heard first
                    examples.setdefault(way.name, word)
        return examples

    def _sum(self, names: Iterable[str]) -> int:
        """The bits of these names; one that no word needs has none."""
        number = 0
        for name in names:
            number |= self._bits.get(name, 0)
        return number
