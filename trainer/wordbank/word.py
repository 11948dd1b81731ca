"""A word as it is heard and spelled: boxes for its sounds, with the letters of each."""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass
from functools import cached_property

from trainer.errors import WordError
from trainer.wordbank.graphemes import GRAPHEME, WEAK, Graphemes, Sounds
from trainer.wordbank.phonemes import PHONEMES

LONGEST = 12
"""Letters of a word; children of this age write shorter ones."""

_PLAIN = re.compile(rf"[a-z]{{1,{LONGEST}}}")
_BOX = re.compile(rf"(?P<grapheme>{GRAPHEME.pattern})(?::(?P<sounds>[A-Z+,]+))?(?P<irregular>!)?")


@dataclass(frozen=True)
class Box:
    """A sound box: the letters that share it and what they sound like.

    A box has one sound; x, qu and le have two that no letter of their own parts. The split digraph `a-e` has
    its a in the box, and its silent e stands outside, after the next box. An `irregular` box sounds as no
    rule says, as the ai of said.
    """

    grapheme: str
    sounds: Sounds
    irregular: bool = False

    @property
    def letters(self) -> str:
        """The letters inside the box."""
        return self.grapheme.partition("-")[0]

    @property
    def silent(self) -> str:
        """The silent letter of a split digraph, which stands outside; else empty."""
        return self.grapheme.partition("-")[2]

    @property
    def vowel(self) -> bool:
        """Whether a syllable has its vowel here."""
        return any(PHONEMES[sound].vowel for sound in self.sounds)


@dataclass(frozen=True)
class Word:
    """A word with its boxes in order; a name has letters only and no boxes.

    `everyday` words come first where words are offered.
    """

    text: str
    boxes: tuple[Box, ...] = ()
    everyday: bool = False

    @cached_property
    def sounds(self) -> Sounds:
        """Its sounds in order: one tap each."""
        return tuple(sound for box in self.boxes for sound in box.sounds)

    @property
    def pieces(self) -> tuple[tuple[str, Box | None], ...]:
        """Its letters as they are written, piece by piece: those in a box, and those outside with None."""
        return tuple(_pieces(self.boxes)) if self.boxes else ((self.text, None),)

    @property
    def places(self) -> tuple[int | None, ...]:
        """For each letter of the text the number of its box; None outside: a silent e, a name's letters."""
        places: list[int | None] = []
        number = 0
        for letters, box in self.pieces:
            places += [None if box is None else number] * len(letters)
            number += box is not None
        return tuple(places)

    @cached_property
    def letters(self) -> frozenset[str]:
        """The letters that are written, each once."""
        return frozenset(self.text)

    @property
    def irregular(self) -> bool:
        """Whether it is an exception word: one of its boxes sounds as no rule says."""
        return any(box.irregular for box in self.boxes)

    @property
    def syllables(self) -> int:
        """How many syllables it has; 0 for a name, of which only the letters are known."""
        return sum(box.vowel for box in self.boxes)

    @property
    def onset(self) -> Sounds:
        """The consonants before the first vowel; none for a word that begins with its vowel."""
        return self.sounds[: self._vowel]

    @property
    def rime(self) -> Sounds:
        """The first vowel and all that follows: words of one syllable with the same rime rhyme."""
        return self.sounds[self._vowel :]

    @property
    def rime_letters(self) -> str:
        """The letters of the rime: at in cat, ake in cake."""
        first = next((place for place, box in enumerate(self.boxes) if box.vowel), len(self.boxes))
        return _spelled(self.boxes[first:])

    @property
    def _vowel(self) -> int:
        vowels = (place for place, sound in enumerate(self.sounds) if PHONEMES[sound].vowel)
        return next(vowels, len(self.sounds))


def name_word(name: str) -> Word:
    """A child's first name as a word: its letters alone, as no rule says how names sound."""
    return Word(name)


def plain_word(text: str) -> None:
    """Raise WordError for what is no word: what must be, what is."""
    if not _PLAIN.fullmatch(text):
        raise WordError(f"a word must be 1 to {LONGEST} small letters a to z, not {text[:40]!r}")


def spelled(text: str, spelling: str, graphemes: Graphemes, *, everyday: bool = False) -> Word:
    """The word of a text and a spelling such as `sh i p`, `c a-e k`, `s n ow:OW` or `s ai:EH! d`.

    A blank parts the boxes. A colon and the names of its sounds follow a grapheme that is not said in its
    first way, an exclamation mark follows what no rule says. Raises WordError: what must be, what is.
    """
    plain_word(text)
    boxes = tuple(_box(part, graphemes) for part in spelling.split())
    if not boxes:
        raise WordError(f"{text!r} must have a box for each sound, it has none")
    in_boxes = _spelled(boxes)
    if in_boxes != text:
        raise WordError(
            f"letters and boxes do not add up: the word is {text!r}, and the boxes spell {in_boxes[:40]!r}"
        )
    if boxes[-1].silent:
        raise WordError(
            f"a split digraph must have a box after it, {boxes[-1].grapheme!r} is the last of {text!r}"
        )
    word = Word(text, boxes, everyday)
    if not word.syllables:
        raise WordError(f"{text!r} must have a vowel among its sounds, it has {' '.join(word.sounds)}")
    for box in boxes:
        _check(box, word, graphemes)
    return word


def notation(word: Word, graphemes: Graphemes) -> str:
    """The spelling of a word as `spelled` reads it, with no more sounds than are needed."""
    return " ".join(_notation(box, graphemes) for box in word.boxes)


def _notation(box: Box, graphemes: Graphemes) -> str:
    usual = not box.irregular and graphemes[box.grapheme][0].sounds == box.sounds
    sounds = "" if usual else ":" + ",".join(box.sounds)
    return box.grapheme + sounds + "!" * box.irregular


def _box(part: str, graphemes: Graphemes) -> Box:
    match = _BOX.fullmatch(part)
    if match is None:
        raise WordError(f"a box must be letters, such as sh, a-e, ow:AW or ai:EH!, not {part[:40]!r}")
    grapheme, irregular = match["grapheme"], match["irregular"] is not None
    if match["sounds"] is None:
        if grapheme not in graphemes:
            raise WordError(
                f"{grapheme!r} must have its sounds after it, such as ai:EH!, as no rule gives them"
            )
        sounds = graphemes[grapheme][0].sounds
    else:
        sounds = tuple(match["sounds"].split(","))
        for sound in sounds:
            if sound not in PHONEMES:
                raise WordError(f"a sound must be one of {' '.join(PHONEMES)}, not {sound[:40]!r}")
    return Box(grapheme, sounds, irregular)


def _check(box: Box, word: Word, graphemes: Graphemes) -> None:
    """Raise WordError for a mark that must stand at a box and does not, or the other way round."""
    way = graphemes.way(box.grapheme, box.sounds)
    so = f"the box {box.grapheme}:{','.join(box.sounds)}"
    if way is not None and way.step == WEAK:
        if word.syllables < 2 and not box.irregular:
            raise WordError(
                f"{so} must be marked with !, as {word.text!r} has no syllable that is hardly heard"
            )
    elif way is not None and box.irregular:
        raise WordError(f"{so} must stand without !, as it is regular")
    elif way is None and not box.irregular:
        raise WordError(f"{so} must be marked with !, as no rule says that {box.grapheme} sounds so")


def _spelled(boxes: tuple[Box, ...]) -> str:
    return "".join(letters for letters, _ in _pieces(boxes))


def _pieces(boxes: tuple[Box, ...]) -> Iterator[tuple[str, Box | None]]:
    """The letters of each box, and after the next one the silent letter of a split digraph."""
    silent = ""
    for box in boxes:
        yield box.letters, box
        if silent:
            yield silent, None
        silent = box.silent
    if silent:
        yield silent, None
