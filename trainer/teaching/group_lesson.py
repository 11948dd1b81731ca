"""A lesson for a group: ten minutes in parts, letters, words and rhymes, who sits together; plain types.

What a child practices alone is in `letter_offers` and `word_offers`; how a lesson is found is in
`lesson_planning`.
"""

from __future__ import annotations

from collections.abc import Collection, Sequence
from dataclasses import dataclass
from datetime import date, datetime
from enum import StrEnum

from trainer.teaching.gathering import Gathering

MINUTES = 10
"""What a lesson takes: 10 min of handwriting within a session, as in Berninger et al. (1997)."""

MOST_LETTERS, MOST_WORDS = 4, 8
"""What a teacher may put into one lesson: more finds no room in ten minutes, and none on a page."""

SAY_LENGTH = 800
"""Characters of what is said in one part: the cues of four letters, and what a page has room for."""


class Part(StrEnum):
    """The parts of a lesson in their usual order."""

    SIT = "sit"
    LETTERS = "letters"
    WORDS = "words"
    RHYME = "rhyme"
    END = "end"


_SHORTEST = {Part.SIT: 1, Part.LETTERS: 3, Part.WORDS: 3, Part.RHYME: 2, Part.END: 1}
"""Minutes of each part where all are there: ours, to be tuned with teachers."""


@dataclass(frozen=True)
class LessonPart:
    """One part: its minutes, and what to say in it."""

    part: Part
    minutes: int
    say: str


@dataclass(frozen=True)
class Rhymes:
    """A rhyme round by its texts: words that rhyme with `word`, and as many that do not."""

    word: str
    rhyming: tuple[str, ...]
    unlike: tuple[str, ...]


@dataclass(frozen=True)
class Lesson:
    """A lesson of a group on a day. `tables` are who sits together and why; the others sit as they like.

    `id` is None until the record has it, `kept` and `changed` are when it came there and was changed last.
    """

    group: str
    day: date
    letters: tuple[str, ...]
    words: tuple[str, ...]
    rhymes: Rhymes | None
    parts: tuple[LessonPart, ...]
    tables: tuple[Gathering, ...] = ()
    id: int | None = None
    kept: datetime | None = None
    changed: datetime | None = None

    @property
    def order(self) -> tuple[Part, ...]:
        """Its parts in their order."""
        return tuple(part.part for part in self.parts)


def in_order(order: Sequence[Part], *, words: bool, rhymes: bool) -> tuple[Part, ...]:
    """The parts that a lesson with or without words and rhymes has, in the order that is asked for.

    One that was not there before comes before those that usually follow it.
    """
    left_out = ({Part.WORDS} if not words else set()) | ({Part.RHYME} if not rhymes else set())
    parts = [part for part in dict.fromkeys(order) if part not in left_out]
    usual = list(Part)
    for part in usual:
        if part not in left_out and part not in parts:
            later = (place for place, other in enumerate(parts) if usual.index(other) > usual.index(part))
            parts.insert(next(later, len(parts)), part)
    return tuple(parts)


def minutes(parts: Collection[Part]) -> dict[Part, int]:
    """The minutes of each part, ten together: those of a part that is left out go to letters and words."""
    left = MINUTES - sum(_SHORTEST[part] for part in parts)
    to_words = left // 2 if Part.WORDS in parts else 0
    extra = {Part.LETTERS: left - to_words, Part.WORDS: to_words}
    return {part: _SHORTEST[part] + extra.get(part, 0) for part in parts}
