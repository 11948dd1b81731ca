"""What judging a letter needs for the first time is worked out beside the window, while the letter is shown.

That is what does not depend on the ink: the ways in which a pen may run through its strokes, and what is to
be compared with what. On an old machine that takes longer than a child should wait at the first lift.
"""

from __future__ import annotations

from collections.abc import Callable
from threading import Thread

from strokes.ink import Ink
from strokes.letter import Hand, Letter
from trainer.attempt import Step
from trainer.judging import Judge


def prepare(judge: Judge, letter: str) -> None:
    """Judge the letter as it is taught, stroke by stroke, and forget what came of it."""
    strokes = judge.alphabet[letter].taught.strokes
    judge.judge(letter, Ink.from_arrays([stroke.path for stroke in strokes]), Step.COPY)


class Preparation:
    """Prepares each letter once for each hand; `start` runs the work, without it a thread does."""

    def __init__(self, start: Callable[[Callable[[], None]], None] | None = None) -> None:
        self._start = start or _beside
        self._begun: set[tuple[Letter, Hand | None]] = set()

    def begin(self, judge: Judge, letter: str) -> None:
        """A child is about to see or to write this letter."""
        key = judge.alphabet[letter], judge.hand
        if key not in self._begun:
            self._begun.add(key)
            self._start(lambda: prepare(judge, letter))


def _beside(work: Callable[[], None]) -> None:
    Thread(target=work, daemon=True).start()
