"""The cost of the teacher's pages over 30 pupils with 10,000 and with 1,000,000 attempts, and of one more.

Run by hand: `python -m tests.benchmarks.summary`. The times are of the processor; the ratio should stay under
1.5 for Tomorrow, under 2 for a pupil's page, and under 3 for Class, whatever days are asked for. Both records
are asked by turns, so that other work on the machine weighs on both. The attempts are drawn by lot over 200
school days and put in by plain SQL; the last ones of each pupil have ink.
"""

from __future__ import annotations

import sqlite3
import tempfile
from collections.abc import Callable, Iterator, Sequence
from contextlib import ExitStack, closing
from datetime import timedelta
from functools import partial
from pathlib import Path
from statistics import median
from time import process_time

import numpy as np

from strokes.alphabet import Alphabet
from strokes.kinds import FORMATION, Kind
from strokes.simulation import write
from tests.desk.visitor import HASH, PASSPHRASE, Browser
from tests.trainer.samples import MONDAY, attempt, ink
from trainer.attempt import Step
from trainer.desk.access.passphrase import SETTING
from trainer.desk.app import create_app
from trainer.desk.desk import Desk
from trainer.ink_codec import pack
from trainer.record import mappers
from trainer.record.record import Record

PUPILS, DAYS, ATTEMPTS = 30, 200, (10_000, 1_000_000)
LETTERS = "abcdefghijklmnopqrstuvwxyz"
KINDS = tuple(Kind)
ROUNDS = 15
LAST = MONDAY + timedelta(weeks=DAYS // 5) - timedelta(days=3)
"""The teacher sits down on the last Friday."""

PAGES = {
    "Tomorrow": "/",
    "a pupil": "/pupil/1",
    "a pupil's last page of attempts at b": "/pupil/1?letter=b&page=2",
    "Over time, the class": "/class/over-time",
    "Over time, a pupil": "/pupil/1/over-time",
    "Class": "/class",
    "Class, the last week": "/class?days=week",
    "Class, the last four weeks": "/class?days=month",
    "Class, 14 October to 17 March": "/class?days=dates&from=2026-10-14&to=2027-03-17",
    "Class, all but two days": "/class?days=dates&from=2026-09-08&to=2027-06-10",
    "the chart of Class": "/class/trend.svg",
}
WITH_INK = 20
"""Attempts of each pupil that have their ink: the last ones, at which pages look."""

FAULTS = 0.35
"""Share of the attempts with a finding."""


def fill(file: Path, count: int) -> Record:
    """A record with so many attempts; the caller closes it."""
    record = Record.open(file, now=MONDAY)
    for number in range(PUPILS):
        record.pupils.add(f"Pupil {number:02}", group=("Quay", "Slipway")[number % 2])
    with closing(sqlite3.connect(file)) as plain:
        plain.executemany(
            """INSERT INTO attempt
            (id, pupil, letter, step, at, finished, formation, formed, looks, checks, day, mended)
            VALUES (?, ?, ?, ?, ?, TRUE, 'taught', ?, ?, '1', ?, FALSE)""",
            drawn(count),
        )
        plain.executemany(
            "INSERT INTO finding VALUES (?, ?, ?, 0.5, 0.4, 0, 0, NULL, NULL, NULL, NULL, '', NULL, 0)",
            finding_rows(count),
        )
        plain.execute(
            """UPDATE attempt SET ink = ? WHERE id IN (SELECT id FROM (SELECT id, ROW_NUMBER() OVER
            (PARTITION BY pupil ORDER BY day DESC, at DESC) AS place FROM attempt) WHERE place <= ?)""",
            (pack(write(Alphabet.load()["b"], seed=1)), WITH_INK),
        )
        plain.commit()
    record.figures.recount()
    return record


def drawn(count: int) -> Iterator[tuple[object, ...]]:
    """The rows of the attempts, without their ink."""
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
        yield k + 1, int(pupils[k]), letter, step, mappers.stamp(at), formed, looks, mappers.day_of(at)


def finding_rows(count: int) -> Iterator[tuple[int, int, str]]:
    for number, kind in enumerate(kinds(count), 1):
        if kind is not None:
            yield number, 0, kind.value


def kinds(count: int) -> list[Kind | None]:
    """One kind of finding for some attempts, none for most."""
    random = np.random.default_rng(2)
    with_one, kind = random.random(count) < FAULTS, random.integers(0, len(KINDS), count)
    return [KINDS[kind[k]] if with_one[k] else None for k in range(count)]


def timed(actions: Sequence[Callable[[], object]]) -> list[float]:
    """The median times of some actions by turns, in milliseconds, after a round that nobody counts."""
    times: list[list[float]] = []
    for _ in range(ROUNDS + 1):
        times.append([])
        for action in actions:
            start = process_time()
            action()
            times[-1].append(1000 * (process_time() - start))
    return [median(of_one) for of_one in zip(*times[1:], strict=True)]


def questions(record: Record, folder: Path) -> dict[str, Callable[[], object]]:
    """All that is asked of a record."""
    alphabet = Alphabet.load()
    pupil = record.pupils.find()[0].id
    kept_attempt = attempt(pupil, "b", Kind.START, day=DAYS // 5 * 7 - 3, written=ink(points=120))
    since = LAST - timedelta(days=27)
    return {
        **pages(record, folder),
        "summary of the class": lambda: record.figures.summary(families=lambda _: alphabet.families),
        "summary of its last four weeks": lambda: record.figures.summary(
            since=since, families=lambda _: alphabet.families
        ),
        "summary of one pupil": lambda: record.figures.summary(pupil=pupil),
        "keep one attempt": lambda: record.attempts.keep(kept_attempt),
        "keep a stroke": lambda: record.attempts.keep_draft(pupil, "c", Step.COPY, kept_attempt.ink),
    }


def pages(record: Record, folder: Path) -> dict[str, Callable[[], object]]:
    """Each page, from the request to the last byte."""
    record.settings.set(SETTING, HASH)
    app = create_app(Desk(record, letters_folder=folder / "letters", clock=lambda: LAST), testing=True)
    app.test_client_class = Browser
    client = app.test_client()
    client.get("/login")
    client.post("/login", data={"passphrase": PASSPHRASE})

    def show(address: str) -> None:
        if client.get(address).status_code != 200:
            raise SystemExit(f"{address} was not answered with a page")

    return {name: partial(show, address) for name, address in PAGES.items()}


def main() -> None:
    print(f"{'ms':34}{ATTEMPTS[0]:>12,}{ATTEMPTS[1]:>12,}{'ratio':>8}")
    with tempfile.TemporaryDirectory() as name, ExitStack() as opened:
        folder = Path(name)
        records = [opened.enter_context(fill(folder / f"{count}.sqlite", count)) for count in ATTEMPTS]
        few, many = (questions(record, folder) for record in records)
        for what in few:
            base, grown = timed([few[what], many[what]])
            print(f"{what:34}{base:12.2f}{grown:12.2f}{grown / base:8.2f}")


if __name__ == "__main__":
    main()
