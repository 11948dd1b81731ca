"""Practice windows without a screen: each is one child's strokes and letters, kept as a window keeps them.

    python -m tests.desk.windows RECORD LETTERS PUPIL...

A process that has loaded everything says `open` and forks one window a pupil. Each says one line a letter,
once the record has it: the pupil, the id, and what was written; and at the end, how often a stroke had to
wait for the next one because another window was committing.
"""

from __future__ import annotations

import multiprocessing
import sys
import time
from datetime import UTC, datetime
from itertools import cycle, islice

from strokes.alphabet import Alphabet
from strokes.ink import Ink
from strokes.simulation.hand import write
from tests.waiting import HANG
from trainer.attempt import Attempt, Step, Verdict
from trainer.errors import BusyError
from trainer.record import database
from trainer.record.record import Record

BETWEEN = 0.1
"""Seconds between two strokes: some ten times as fast as children, so that windows meet in the record."""


def practice(place: str, pupil: int, letters: int) -> None:
    alphabet = Alphabet.load()
    waited = 0
    with Record.open(place) as record:
        for letter in islice(cycle("ktxfi"), letters):
            ink = write(alphabet[letter].taught, seed=pupil)
            for strokes in range(1, len(ink.traces) + 1):
                try:
                    record.attempts.keep_draft(pupil, letter, Step.COPY, Ink(ink.traces[:strokes]))
                except (
                    BusyError
                ):  # as in a session: nobody is stopped inside a letter, the next one has it all
                    waited += 1
                time.sleep(BETWEEN)
            now = datetime.now(UTC)
            attempt = record.attempts.keep(
                Attempt(None, pupil, letter, Step.COPY, now, ink, Verdict("taught", True, True))
            )
            print(pupil, attempt.id, letter, now.isoformat(), flush=True)
    print(pupil, "waited", waited, flush=True)


def main(place: str, letters: str, *pupils: str) -> int:
    """Open all of them at once; gives back how many ended with an error."""
    database.PATIENCE = HANG  # a slow disk is no fault
    fork = multiprocessing.get_context("fork")
    windows = [fork.Process(target=practice, args=(place, int(pupil), int(letters))) for pupil in pupils]
    print("open", flush=True)
    for window in windows:
        window.start()
    for window in windows:
        window.join()
    return sum(window.exitcode != 0 for window in windows)


if __name__ == "__main__":
    sys.exit(main(*sys.argv[1:]))
