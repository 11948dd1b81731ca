"""A practice window without a screen: one child's strokes and letters, kept as the window keeps them.

    python -m tests.desk.windows RECORD PUPIL SECONDS

It says one line a letter, once the record has it: the id, and what was written.
"""

from __future__ import annotations

import sys
import time
from datetime import UTC, datetime
from itertools import cycle
from pathlib import Path

from strokes.hand import write
from strokes.ink import Ink
from strokes.letterfile import load_alphabet
from trainer.attempt import Attempt, Step, Verdict
from trainer.record import Record

BETWEEN = 0.03
"""Seconds between two strokes: several times as fast as a class, so that the windows meet in the record."""


def practice(file: Path, pupil: int, seconds: float) -> None:
    alphabet = load_alphabet()
    until = time.monotonic() + seconds
    with Record.open(file) as record:
        for letter in cycle("ktxfi"):
            ink = write(alphabet[letter].taught, seed=pupil)
            for strokes in range(1, len(ink.traces) + 1):
                record.keep_draft(pupil, letter, Step.COPY, Ink(ink.traces[:strokes]))
                time.sleep(BETWEEN)
            now = datetime.now(UTC)
            kept = record.keep(
                Attempt(None, pupil, letter, Step.COPY, now, ink, Verdict("taught", True, True))
            )
            print(kept.id, letter, now.isoformat(), flush=True)
            if time.monotonic() >= until:
                return


if __name__ == "__main__":
    practice(Path(sys.argv[1]), int(sys.argv[2]), float(sys.argv[3]))
