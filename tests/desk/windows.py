"""A practice window without a screen: one child's strokes and letters, kept as the window keeps them.

    python -m tests.desk.windows RECORD PUPIL LETTERS

It says one line a letter, once the record has it: the id, and what was written; and at the end, how
often a stroke had to wait for the next one because another window was committing.
"""

from __future__ import annotations

import sys
import time
from datetime import UTC, datetime
from itertools import cycle, islice

from strokes.alphabet import Alphabet
from strokes.ink import Ink
from strokes.simulation.hand import write
from trainer.attempt import Attempt, Step, Verdict
from trainer.errors import BusyError
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
            print(attempt.id, letter, now.isoformat(), flush=True)
    print("strokes that waited:", waited, flush=True)


if __name__ == "__main__":
    practice(sys.argv[1], int(sys.argv[2]), int(sys.argv[3]))
