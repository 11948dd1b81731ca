"""The sounds of a word said one after the other, in step with its boxes; state and time, no drawing."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING

from trainer.speech import Utterance, Voice, lone_sound

if TYPE_CHECKING:
    from trainer.wordbank import Word

SHRINKING = (0.9, 0.4, 0.08)
"""Seconds between two sounds, round by round, until they nearly run together; common practice, no source."""
EVEN = (0.4,)
"""The same where the sounds are said once."""
BETWEEN_ROUNDS = 1.2
BEFORE = 0.6
"""Seconds before the first sound."""
LEAST = 0.35
"""Seconds for which a box is lit, at least: so long where there is no voice."""
LONGEST = 3.0
"""Seconds for which something that is being said is waited for, at most."""


class Sounding:
    """Says the boxes of a word; `box` is the number of the one that is said now, None between two.

    `heard` is how many boxes of this round were begun.
    """

    def __init__(self, word: Word, voice: Voice, gaps: Sequence[float] = EVEN) -> None:
        self.sounds = sounds_of(word)
        self.voice = voice
        self.gaps = tuple(gaps)
        self.box: int | None = None
        self.heard = 0
        self.round = 0
        self._waited = 0.0

    @property
    def done(self) -> bool:
        """Whether all rounds are over."""
        return self.round >= len(self.gaps)

    def advance(self, seconds: float) -> bool:
        """Let time pass; tells whether another box is lit now, or none any more."""
        if self.done:
            return False
        self._waited += seconds
        if self.box is not None:
            if self._waited < LEAST or (self.voice.speaking and self._waited < LONGEST):
                return False
            self._end()
            return True
        if self._waited < self._gap or (self.voice.speaking and self._waited < LONGEST):
            return False
        self.box, self._waited = self.heard, 0.0
        self.heard += 1
        self.voice.say(self.sounds[self.box])
        return True

    @property
    def _gap(self) -> float:
        if self.heard:
            return self.gaps[self.round]
        return BETWEEN_ROUNDS if self.round else BEFORE

    def _end(self) -> None:
        self.box, self._waited = None, 0.0
        if self.heard == len(self.sounds):
            self.round += 1
            self.heard = self.heard if self.done else 0


def sounds_of(word: Word) -> tuple[Utterance, ...]:
    """The utterance of each box."""
    return tuple(lone_sound(*box.sounds) for box in word.boxes)
