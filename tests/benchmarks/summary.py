"""The cost of a summary of 30 pupils with 10,000 and with 1,000,000 attempts, and of keeping one more.

Run by hand: `python -m tests.benchmarks.summary`. The machine decides the times; the ratio should stay
under 3. The attempts are drawn by lot over 200 school days and put in by plain SQL, without ink.
"""

from __future__ import annotations

import sqlite3
import tempfile
from collections.abc import Callable, Iterator
from contextlib import closing
from datetime import timedelta
from pathlib import Path
from statistics import median
from time import perf_counter

import numpy as np

from strokes.letterfile import load_alphabet
from strokes.report import FORMATION, Kind
from tests.trainer.samples import MONDAY, attempt, ink
from trainer import rows
from trainer.attempt import Step
from trainer.record import Record

PUPILS, DAYS, ATTEMPTS = 30, 200, (10_000, 1_000_000)
LETTERS = "abcdefghijklmnopqrstuvwxyz"
KINDS = tuple(Kind)
ROUNDS = 15
FAULTS = 0.35
"""Share of the attempts with a finding."""


def fill(file: Path, count: int) -> Record:
    """A record with so many attempts; the caller closes it."""
    record = Record.open(file, now=MONDAY)
    for number in range(PUPILS):
        record.add_pupil(f"Pupil {number:02}", group=("Quay", "Slipway")[number % 2])
    with closing(sqlite3.connect(file)) as plain:
        plain.executemany("INSERT INTO attempt VALUES (?,?,?,?,?,?,?,?,?,?,?,?)", drawn(count))
        plain.executemany(
            "INSERT INTO finding VALUES (?, ?, ?, 0.5, 0.4, 0, 0, NULL, NULL, NULL, NULL, '', NULL, 0)",
            found(count),
        )
        plain.commit()
    record.recount()
    return record


def drawn(count: int) -> Iterator[tuple[object, ...]]:
    """The rows of the attempts, without ink."""
    random = np.random.default_rng(1)
    pupils, letters = random.integers(1, PUPILS + 1, count), random.integers(0, 26, count)
    steps, days = random.integers(0, 3, count), random.integers(0, DAYS, count)
    seconds = random.integers(0, 6 * 3600, count)
    judged = kinds(count)
    for k in range(count):
        at = MONDAY + timedelta(days=int(days[k]) // 5 * 7 + int(days[k]) % 5, seconds=int(seconds[k]))
        formed = judged[k] not in FORMATION
        looks = judged[k] is None or judged[k] in FORMATION
        step = ("trace", "copy", "recall")[steps[k]]
        letter = LETTERS[letters[k]]
        yield (
            *(k + 1, int(pupils[k]), letter, step, rows.stamp(at), True, "taught", formed, looks, None),
            *("1", rows.day_of(at)),
        )


def found(count: int) -> Iterator[tuple[int, int, str]]:
    for number, kind in enumerate(kinds(count), 1):
        if kind is not None:
            yield number, 0, kind.value


def kinds(count: int) -> list[Kind | None]:
    """One kind of finding for some attempts, none for most."""
    random = np.random.default_rng(2)
    with_one, kind = random.random(count) < FAULTS, random.integers(0, len(KINDS), count)
    return [KINDS[kind[k]] if with_one[k] else None for k in range(count)]


def timed(action: Callable[[], object]) -> float:
    """The median time of an action, in milliseconds, after one that nobody counts."""
    action()
    times = []
    for _ in range(ROUNDS):
        start = perf_counter()
        action()
        times.append(1000 * (perf_counter() - start))
    return median(times)


def measured(folder: Path, count: int) -> dict[str, float]:
    """Milliseconds for each question, with so many attempts in the record."""
    families = load_alphabet().families
    last = MONDAY + timedelta(weeks=DAYS // 5)
    with fill(folder / f"{count}.sqlite", count) as record:
        pupil = record.pupils()[0].id
        one = attempt(pupil, "b", Kind.START, day=DAYS // 5 * 7 - 3, written=ink(points=120))
        return {
            "summary of the class": timed(lambda: record.summary(families=families)),
            "summary of its last four weeks": timed(
                lambda: record.summary(since=last - timedelta(weeks=4), families=families)
            ),
            "summary of all weeks by day": timed(lambda: record.summary(since=MONDAY, families=families)),
            "summary of one pupil": timed(lambda: record.summary(pupil=pupil)),
            "keep one attempt": timed(lambda: record.keep(one)),
            "keep a stroke": timed(lambda: record.keep_draft(pupil, "c", Step.COPY, one.ink)),
        }


def main() -> None:
    with tempfile.TemporaryDirectory() as folder:
        few, many = (measured(Path(folder), count) for count in ATTEMPTS)
    print(f"{'ms':34}{ATTEMPTS[0]:>12,}{ATTEMPTS[1]:>12,}{'ratio':>8}")
    for what, base in few.items():
        print(f"{what:34}{base:12.2f}{many[what]:12.2f}{many[what] / base:8.2f}")


if __name__ == "__main__":
    main()
