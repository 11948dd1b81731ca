"""How many kept attempts are judged again in a second, and what that takes in memory.

    python -m tests.benchmarks.recheck [ATTEMPTS]

The peer is `check` alone, called for the same ink in one process without any record, in plain numpy and
with compiled lanes where numba is installed: the judges use them from WORTH_LANES attempts on. Times of
the processor are shown beside those of the clock, as other work on the machine slows only the clock.
"""

from __future__ import annotations

import os
import sys
import tempfile
import time
from datetime import UTC, datetime, timedelta
from itertools import cycle, islice
from multiprocessing import active_children
from pathlib import Path

from strokes.alphabet import Alphabet
from strokes.checks.checker import check
from strokes.ink import Ink
from strokes.simulation.hand import write
from strokes.tolerances import Tolerances
from strokes.warping.pairs import use_lanes
from trainer.attempt import Attempt, Step, Verdict
from trainer.judging.rechecking.recheck import Recheck
from trainer.record import DEFAULT_GROUP, Record

VARIANTS = 8
"""Inks of each letter; they come again and again."""

PUPILS = 30
AT_ONCE = 5000


def inks(alphabet: Alphabet) -> list[tuple[str, Ink]]:
    """Small ink: each letter as a steady hand writes it, with every third point alone."""
    return [
        (name, Ink.from_arrays([trace.points[::3] for trace in write(alphabet[name], seed=seed).traces]))
        for seed in range(VARIANTS)
        for name in alphabet
    ]


def fill(record: Record, written: list[tuple[str, Ink]], attempts: int) -> None:
    """Keep that many attempts, as an older version of the checks would have judged them."""
    pupils = [record.pupils.add(f"Pupil {number}") for number in range(1, PUPILS + 1)]
    now, old = datetime.now(UTC), Verdict("taught", True, True)
    made = (
        Attempt(
            None,
            pupil.id,
            name,
            Step.COPY,
            now - timedelta(minutes=number % 50_000),
            ink,
            old,
            checks="older",
        )
        for number, (pupil, (name, ink)) in enumerate(zip(cycle(pupils), cycle(written), strict=False))
    )
    for first in range(0, attempts, AT_ONCE):
        record.attempts.keep_many(list(islice(made, min(AT_ONCE, attempts - first))))


def resident(process: int) -> float:
    """What a process holds in memory, in MB; Linux tells it."""
    status = Path(f"/proc/{process}/status").read_text()
    return int(status.split("VmRSS:")[1].split()[0]) / 1000


class Watch:
    """Notes the memory of all processes as the work goes on."""

    def __init__(self, total: int) -> None:
        self.total, self.done, self.began = total, 0, time.perf_counter()
        self.reported: set[int] = set()

    def __call__(self, done: int) -> None:
        """Hear that `done` more are done."""
        self.done += done
        tenth = 10 * self.done // self.total
        if tenth not in self.reported:
            judges = [resident(process.pid or 0) for process in active_children()]
            took = time.perf_counter() - self.began
            writer, judge = resident(os.getpid()), max(judges, default=0.0)
            print(f"{10 * tenth:5} %  {took:7.1f} s  {writer:6.1f} MB  {judge:6.1f} MB", flush=True)
            self.reported.add(tenth)


def main() -> None:
    """Print the measurements."""
    attempts = int(sys.argv[1]) if len(sys.argv) > 1 else 100_000
    alphabet = Alphabet.load()
    written = inks(alphabet)
    plain = peer(alphabet, written)
    with (
        tempfile.TemporaryDirectory(prefix="trainer-recheck-") as folder,
        Record.open(Path(folder) / "record.sqlite") as record,
    ):
        began = time.perf_counter()
        fill(record, written, attempts)
        print(f"{attempts} attempts kept in {time.perf_counter() - began:.0f} s")
        before, began = os.times(), time.perf_counter()
        run = Recheck(record, {DEFAULT_GROUP: alphabet}.__getitem__, Tolerances())
        print(f"{len(run)} to be judged, found in {time.perf_counter() - began:.2f} s")
        print("   done     clock    writer   largest judge")
        done = run.run(progress=Watch(len(run)))
        took, after = time.perf_counter() - began, os.times()
    busy = sum(after[:4]) - sum(before[:4])
    print(f"judged {done.judged}: {done.judged / took:.0f} a second by the clock, {took:.0f} s")
    print(f"{1000 * busy / done.judged:.2f} ms of processor each, {done.judged / busy:.0f} a second and core")
    print(
        f"check alone, numpy: {1000 * plain:.2f} ms of processor each; ratio {busy / done.judged / plain:.2f}"
    )
    if use_lanes(True):  # last, as numba would count as the writer's memory
        bare = peer(alphabet, written)
        print(f"check alone, lanes: {1000 * bare:.2f} ms; ratio {busy / done.judged / bare:.2f}")


def peer(alphabet: Alphabet, written: list[tuple[str, Ink]]) -> float:
    """Seconds of processor that `check` takes for one ink, as a mean."""
    check(written[0][1], alphabet[written[0][0]], guide=alphabet.guide)  # imports what it needs
    began = time.process_time()
    for name, ink in written:
        check(ink, alphabet[name], guide=alphabet.guide)
    return (time.process_time() - began) / len(written)


if __name__ == "__main__":
    main()
