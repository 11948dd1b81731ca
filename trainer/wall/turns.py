"""The turns of a showing: what each press of the one key leads to, from the first item to the end."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from enum import StrEnum
from typing import NamedTuple

from trainer.wall.items import Item, WallLetter, WallWord


class Act(StrEnum):
    """What is done in a turn."""

    HEAR = "hear"
    COUNT = "count"
    BOXES = "boxes"
    WRITE = "write"
    READ = "read"
    RHYMES = "rhymes"
    MAKE = "make"
    END = "end"


_SCREENS = {Act.COUNT: Act.HEAR, Act.BOXES: Act.HEAR, Act.MAKE: Act.RHYMES}
"""Acts that are seen on the screen of another one."""


class Turn(NamedTuple):
    """One act at the item of that number.

    `part` is how many sounds are counted, rhymes found or words made, or the stroke that is written; `place`
    is that of the letter in its word.
    """

    item: int
    act: Act
    place: int = 0
    part: int = 0

    @property
    def view(self) -> tuple[int, int, str]:
        """What the turns of one view have in common: the item, the letter, and what is done on one screen."""
        return self.item, self.place, _SCREENS.get(self.act, self.act)


def turns_of(items: Sequence[Item]) -> tuple[Turn, ...]:
    """All turns in order; the end is one of its own, so that there always is one."""
    turns = [turn for number, item in enumerate(items) for turn in _turns(number, item)]
    return (*turns, Turn(len(items), Act.END))


def _turns(number: int, item: Item) -> Iterator[Turn]:
    if isinstance(item, WallLetter):
        yield from _strokes(number, item, item.letter, 0)
    elif isinstance(item, WallWord):
        word = item.word
        if word.boxes:
            yield Turn(number, Act.HEAR)
            yield from (Turn(number, Act.COUNT, part=part) for part in range(len(word.sounds) + 1))
            yield Turn(number, Act.BOXES)
        for place, letter in enumerate(word.text):
            yield from _strokes(number, item, letter, place)
        yield Turn(number, Act.READ)
    else:
        yield from (Turn(number, Act.RHYMES, part=part) for part in range(len(item.rhymes.rhyming) + 1))
        made = len(item.rhymes.made)
        yield from (Turn(number, Act.MAKE, part=part) for part in range(made + 1 if made else 0))


def _strokes(number: int, item: WallLetter | WallWord, letter: str, place: int) -> Iterator[Turn]:
    strokes = item.alphabet[letter].taught.strokes
    yield from (Turn(number, Act.WRITE, place, part) for part in range(len(strokes)))
