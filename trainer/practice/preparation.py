"""What comes next is worked out beside the window: the alphabets while the cards are shown, then each letter.

Of a letter that is what does not depend on the ink: the ways in which a pen may run through its strokes, and
what is to be compared with what. On an old machine that takes longer than a child should wait at the first
lift.
"""

from __future__ import annotations

import gc
from collections.abc import Callable, Sequence
from contextlib import suppress
from pathlib import Path
from threading import Thread

from strokes.ink import Ink
from strokes.letter import Hand, Letter
from trainer.attempt import Step
from trainer.errors import RecordError
from trainer.judging import Judge
from trainer.practice.record import Attempts
from trainer.teaching import Used


def prepare(judge: Judge, letter: str) -> None:
    """Judge the letter as it is taught, stroke by stroke, and forget what came of it."""
    strokes = judge.alphabet[letter].taught.strokes
    judge.judge(letter, Ink.from_arrays([stroke.path for stroke in strokes]), Step.COPY)


def read_ahead(used: Sequence[Used]) -> None:
    """Read what groups use, and load what judges: the first letter of it is judged, and that is forgotten.

    From then on garbage is collected, and what is there by now is left alone: it stays, and would be looked
    through again and again, 50 ms each time.
    """
    try:
        for each in used:
            judge = Judge(each.alphabet)
            prepare(judge, next(iter(judge.alphabet)))
        gc.freeze()
    finally:
        gc.enable()


def warm_up(attempts: Attempts) -> None:
    """Let what a pen-up needs of the record be made."""
    with suppress(RecordError):  # it is full, or others write: the first pen-up takes longer then
        attempts.warm_up()


class Preparation:
    """Reads alphabets and warms up the record, once, and prepares each letter once for each hand.

    `start` runs the work, without it a thread does.
    """

    def __init__(self, start: Callable[[Callable[[], None]], None] | None = None) -> None:
        self._start = start or _beside
        self._begun: set[tuple[Letter, Hand | None] | Path] = set()
        self._warm = False

    def read(self, used: Sequence[Used]) -> None:
        """Children are about to choose their cards, whose groups use this."""
        new = {each.folder: each for each in used if each.folder not in self._begun}
        if new:
            self._begun.update(new)
            self._start(lambda: read_ahead(list(new.values())))

    def warm_up(self, attempts: Attempts) -> None:
        """Let what a pen-up needs of the record be made, once."""
        if not self._warm:
            self._warm = True
            self._start(lambda: warm_up(attempts))

    def begin(self, judge: Judge, letter: str) -> None:
        """A child is about to see or to write this letter."""
        key = judge.alphabet[letter], judge.hand
        if key not in self._begun:
            self._begun.add(key)
            self._start(lambda: prepare(judge, letter))


def _beside(work: Callable[[], None]) -> None:
    Thread(target=work, daemon=True).start()
