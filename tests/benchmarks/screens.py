"""Many screens that write into one record while a desk reads it: how long a pen-up takes, and who waits.

Run by hand: `python -m tests.benchmarks.screens --seconds 600`, and with `--file` for six windows of one
machine on a record in a file. Each screen is a process of its own. A child there writes a letter in some four
seconds, one after another without a rest. The bar: at most 30 ms for a pen-up at the 99th percentile, on a
machine with nothing else to do; nothing lost, nothing doubled.
"""

from __future__ import annotations

import argparse
import multiprocessing
import tempfile
from collections.abc import Callable, Iterator
from contextlib import ExitStack, contextmanager, nullcontext
from datetime import UTC, datetime
from functools import partial
from pathlib import Path
from time import monotonic, perf_counter, sleep
from typing import Any

import numpy as np
import pytest

from tests.desk.visitor import HASH, PASSPHRASE, Browser
from tests.faults.writer import write_on
from tests.server import programs, serving
from tests.waiting import HANG, until
from trainer import places
from trainer.desk.access.passphrase import SETTING
from trainer.desk.app import create_app
from trainer.desk.desk import Desk
from trainer.errors import BusyError
from trainer.places import is_address
from trainer.practice.preparation import warm_up
from trainer.record.outbox import ScreenRecord, waiting
from trainer.record.postgresql import PostgreSQL
from trainer.record.record import Record
from trainer.record.sqlite import SQLite

ON_A_SERVER, IN_A_FILE = 30, 6
"""Screens, unless another number is asked for."""

PUPILS = 30

PACE = 2.0
"""Seconds from stroke to stroke, about; nobody stops between two letters, as children do."""

PAUSE = 1.0
"""Seconds between two pages that a teacher looks at."""

PAGES = ("/", "/class", "/pupil/1", "/practice")


def main() -> None:
    """Measure, and print a table of it."""
    parser = argparse.ArgumentParser(prog="python -m tests.benchmarks.screens", description=__doc__)
    parser.add_argument("--seconds", type=float, default=120.0, metavar="S")
    parser.add_argument("--screens", type=int, metavar="N")
    parser.add_argument("--file", action="store_true", help="on a record in a file, not on a server")
    asked = parser.parse_args()
    screens = asked.screens or (IN_A_FILE if asked.file else ON_A_SERVER)
    folder = programs()
    assert asked.file or folder is not None, "there are no programs of a PostgreSQL server on this machine"
    started = nullcontext() if asked.file or folder is None else serving(folder)
    with tempfile.TemporaryDirectory() as temporary, started as server:
        place = server.new("screens") if server else Path(temporary) / places.RECORD
        measure(place, Path(temporary), screens, asked.seconds)


def measure(place: Path | str, folder: Path, screens: int, seconds: float) -> None:
    """Let so many screens write for so long while a desk reads."""
    with Record.open(place) as record:
        for number in range(PUPILS):
            record.pupils.add(f"Pupil {number:02}", group=("Quay", "Slipway")[number % 2])
        record.settings.set(SETTING, HASH)
    context = multiprocessing.get_context("fork")
    queue: Any = context.Queue()
    begin = monotonic() + 0.3 * screens  # they come up one after another, and begin at once
    jobs = [partial(screen, place, folder, number) for number in range(1, screens + 1)]
    jobs.append(partial(desk, place, folder))
    processes = [
        context.Process(target=job, args=(queue, begin, begin + seconds), daemon=True) for job in jobs
    ]
    for process in processes:
        process.start()
    outcomes = [queue.get(timeout=seconds + HANG) for _ in processes]
    for process in processes:
        process.join()
    kinds = ("pen_ups", "locks", "pages", "late", "busy")
    whole = {kind: [figure for outcome in outcomes for figure in outcome.get(kind, [])] for kind in kinds}
    letters = sum(outcome.get("letters", 0) for outcome in outcomes)
    with Record.open(place) as record:
        finished = [attempt for attempt in record.attempts.find(ink=False) if attempt.finished]
    clock, processor = np.array(whole["pen_ups"]).T
    print(f"screens: {screens}; seconds: {seconds:.0f}; pen-ups a second: {len(clock) / seconds:.1f}")
    print(
        f"letters: {letters}, of which in the record: {len(finished)}; strokes put off: {len(whole['busy'])}"
    )
    _row("a pen-up, by the clock", clock)
    _row("a pen-up, of the processor", processor)
    _row("waiting for others who write", np.array(whole["locks"]))
    _row("the last letters are sent after", np.array(whole["late"]))
    _row("a page of the desk", np.array(whole["pages"]))


def screen(place: Path | str, folder: Path, number: int, queue: Any, begin: float, end: float) -> None:
    """Write for a while, and hand in what was measured."""
    own = folder / f"screen {number}"
    own.mkdir()
    with ExitStack() as stack:
        record = stack.enter_context(opened(place, own))
        warm_up(record.attempts)  # as a window does while its cards are shown
        waits = stack.enter_context(_timing_locks())
        sleep(max(0.0, begin - monotonic()))
        busy = _counting_busy(record)
        written = list(write_on(record, number, 0, PACE, lambda: monotonic() > end))
        stopped = monotonic()
        until(lambda: not waiting(own), "all that waits to be sent")
        late = monotonic() - stopped
    queue.put(
        {
            "pen_ups": [(took, worked) for _, _, took, worked in written],
            "letters": sum(stroke == "end" for _, stroke, *_ in written),
            "locks": waits,
            "late": [late],
            "busy": busy,
        }
    )


def opened(place: Path | str, folder: Path) -> Any:
    """The record as a practice window opens it."""
    return ScreenRecord.open(place, folder) if is_address(place) else Record.open(place)


def desk(place: Path | str, folder: Path, queue: Any, begin: float, end: float) -> None:
    """Look at one page after another."""
    times = []
    with Record.open(place) as record:
        app = create_app(Desk(record, folder / "letters", clock=lambda: datetime.now(UTC)), testing=True)
        app.test_client_class = Browser
        browser = app.test_client()
        browser.get("/login")
        browser.post("/login", data={"passphrase": PASSPHRASE})
        sleep(max(0.0, begin - monotonic()))
        while monotonic() < end:
            for page in PAGES:
                before = perf_counter()
                assert browser.get(page, follow_redirects=True).status_code == 200
                times.append(perf_counter() - before)
                sleep(PAUSE)
    queue.put({"pages": times})


def _counting_busy(record: Any) -> list[float]:
    """The seconds of each stroke that the record did not take: it is offered again with the next one."""
    busy: list[float] = []
    keep_draft = record.attempts.keep_draft

    def keep(*words: Any) -> None:
        before = perf_counter()
        try:
            keep_draft(*words)
        except BusyError:
            busy.append(perf_counter() - before)

    record.attempts.keep_draft = keep
    return busy


@contextmanager
def _timing_locks() -> Iterator[list[float]]:
    """The seconds that each transaction which writes has waited for others."""
    waits: list[float] = []

    def timed(begin: Callable[..., None]) -> Callable[..., None]:
        def beginning(*given: Any, writes: bool, **named: Any) -> None:
            before = perf_counter()
            try:
                begin(*given, writes=writes, **named)
            finally:
                if writes:
                    waits.append(perf_counter() - before)

        return beginning

    with pytest.MonkeyPatch.context() as patch:
        for store in (SQLite, PostgreSQL):
            patch.setattr(store, "begin", timed(store.begin))
        yield waits


def _row(what: str, seconds: Any) -> None:
    if len(seconds):
        figures = (np.median(seconds), *np.percentile(seconds, [90, 99]), np.max(seconds))
        shown = ", ".join(f"{1000 * figure:.1f}" for figure in figures)
        print(f"{what}: {len(seconds):,} times; median, 90 %, 99 %, most: {shown} ms")


if __name__ == "__main__":
    main()
