"""A screen at which children write without a rest: `tests.faults.writer ADDRESS FOLDER NUMBER FIRST`.

It prints a line once a stroke, or a letter, is kept: its number, which stroke of it ("end" for the letter),
when, and how long that took, by the clock and of the processor. Each letter bears its number in its ink. It
ends when its input ends, once nothing waits any more.
"""

from __future__ import annotations

import random
import sys
from collections.abc import Callable, Iterator
from datetime import UTC, datetime
from functools import partial
from itertools import count
from pathlib import Path
from threading import Event, Thread
from time import monotonic, perf_counter, sleep, thread_time
from typing import TYPE_CHECKING

import numpy as np

from strokes.ink import Ink
from tests.trainer.samples import ink, verdict
from tests.waiting import until
from trainer.attempt import Attempt, Step
from trainer.errors import RecordError
from trainer.record.outbox import ScreenRecord, waiting

if TYPE_CHECKING:
    from trainer.practice import PracticeRecord

PACE = 0.03
"""Seconds between two strokes: far less than any child's, so that every fault meets many."""

LETTERS = "bdkt"
POOL = [ink(seed=seed) for seed in range(50)]


def numbered(screen: int, letter: int, strokes: int) -> Ink:
    """Ink of so many strokes, whose first point says of which screen and letter it is."""
    lines = [POOL[(letter + place) % len(POOL)].traces[0].points for place in range(strokes)]
    lines[0] = np.concatenate([[[float(letter), float(screen)]], lines[0]])
    return Ink.from_arrays(lines)


def number_in(written: Ink) -> tuple[int, int]:
    """The screen and the letter that ink says it is of."""
    letter, screen = written.traces[0].points[0]
    return round(screen), round(letter)


def opened(address: str, folder: Path, longest_pause: float) -> ScreenRecord:
    """The record, as soon as the server lets a screen in."""
    while True:
        try:
            return ScreenRecord.open(address, folder, longest_pause=longest_pause)
        except RecordError:
            sleep(0.1)


def write_on(
    screen: PracticeRecord, number: int, first: int, pace: float, ended: Callable[[], bool]
) -> Iterator[tuple[int, int | str, float, float]]:
    """Letters of one to three strokes, at all children by turns.

    Gives, once a stroke or the end of a letter is kept, the letter and the stroke, and how long that took:
    seconds by the clock, and of the processor.
    """
    draw = random.Random(f"{number} {first}")
    pupils = _pupils(screen)
    for letter in count(first):
        pupil, name = pupils[letter % len(pupils)], LETTERS[letter % len(LETTERS)]
        for stroke in range(1, draw.randint(1, 3) + 1):
            if ended():
                screen.attempts.leave_draft(pupil)
                return
            so_far, keep = numbered(number, letter, stroke), screen.attempts.keep_draft
            yield letter, stroke, *_timed(partial(keep, pupil, name, Step.COPY, so_far))
            sleep(pace * draw.uniform(0.5, 1.5))
        attempt = Attempt(None, pupil, name, Step.COPY, datetime.now(UTC), so_far, verdict())
        yield letter, "end", *_timed(partial(screen.attempts.keep, attempt))


def _pupils(screen: PracticeRecord) -> list[int]:
    """Who is at the cards: a grown-up tries again until they are there."""
    while True:
        try:
            return [pupil.id for pupil in screen.pupils.find()]
        except RecordError:
            sleep(0.1)


def _timed(write: Callable[[], object]) -> tuple[float, float]:
    clock, processor = perf_counter(), thread_time()
    write()
    return perf_counter() - clock, thread_time() - processor


def main() -> None:
    """Write until the input ends, and then until nothing waits."""
    address, folder, number, first = sys.argv[1], Path(sys.argv[2]), int(sys.argv[3]), int(sys.argv[4])
    ended = Event()
    Thread(target=lambda: (sys.stdin.read(), ended.set()), daemon=True).start()
    with opened(address, folder, 0.5) as screen:
        for letter, stroke, took, worked in write_on(screen, number, first, PACE, ended.is_set):
            print(letter, stroke, f"{monotonic():.4f} {took:.5f} {worked:.5f}", flush=True)
        until(lambda: not waiting(folder), "all that waits to be sent")


if __name__ == "__main__":
    main()
