"""A word that is being written letter by letter: which letter is due, and the ink so far. State alone."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import TYPE_CHECKING

from strokes.ink import Ink
from trainer.attempt import Step

if TYPE_CHECKING:
    from trainer.wordbank import Word


@dataclass(eq=False)
class WordInHand:
    """A word at a step. `chunk` are the places of the rime that is known from the word before.

    `written` is the ink of each letter so far, in letter space, and `read` the places at which the ink is the
    letter asked for.
    """

    word: Word
    step: Step
    chunk: tuple[int, ...] = ()
    written: list[Ink] = field(default_factory=list)
    read: set[int] = field(default_factory=set)

    @property
    def text(self) -> str:
        """How it is spelled."""
        return self.word.text

    @property
    def place(self) -> int:
        """The place of the letter that is due; the last one when all are written."""
        return min(len(self.written), len(self.text) - 1)

    @property
    def letter(self) -> str:
        """The letter that is due."""
        return self.text[self.place]

    @property
    def done(self) -> bool:
        """Whether all letters are written."""
        return len(self.written) == len(self.text)

    def take(self, ink: Ink, *, is_letter: bool) -> None:
        """The letter that is due was written like this."""
        if is_letter:
            self.read.add(len(self.written))
        self.written.append(ink)

    def take_back(self) -> None:
        """The last letter is to be written again."""
        self.written.pop()
        self.read.discard(len(self.written))
