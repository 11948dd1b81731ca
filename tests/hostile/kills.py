"""`python -m tests.hostile.kills [--count N] [--only WORK]`: each writer is killed time and again.

A copy of one folder is written to by a command or a call that is killed with SIGKILL just before a step: a
statement, a commit, or a file that is opened for writing, renamed, made or removed. Then the record must be
whole, what is one transaction done or not done, and the same work, run again, must come to the same end as if
nothing had been.
"""

from __future__ import annotations

import argparse
import contextlib
import io
import os
import re
import shutil
import signal
import sqlite3
import sys
import tempfile
import traceback
from collections.abc import Callable, Iterator
from contextlib import closing
from dataclasses import dataclass, replace
from datetime import timedelta
from itertools import count
from pathlib import Path

import numpy as np
from sqlalchemy import Engine, event

from strokes.alphabet import Alphabet
from strokes.simulation import write
from tests.trainer.samples import MONDAY, attempt, ink
from tests.trainer.whole_record import everything, fill
from trainer.atomic_file import NEW
from trainer.attempt import Step
from trainer.commands.cli import main as trainer
from trainer.places import RECORD
from trainer.record.backup import PART
from trainer.record.inspection import check
from trainer.record.record import Record
from trainer.teaching.own_letters import change_cue

LATER = MONDAY + timedelta(days=400)
"""A day on which the ink of the record is past its time."""

MOMENT = re.compile(r"\d{4}-?\d\d-?\d\d[T -]?\d\d:?\d\d:?\d*(\.\d+)?Z?(-\d+(?=\.))?")
WRITES = os.O_WRONLY | os.O_RDWR | os.O_CREAT


@dataclass(frozen=True)
class Work:
    """Something that writes into a folder. What is not a `whole` transaction may stop half way."""

    name: str
    does: Callable[[Path], object]
    whole: bool = True
    before: Callable[[Path], object] | None = None


def command(*words: str) -> Callable[[Path], object]:
    """A command as it is typed; `FOLDER` stands for the folder."""

    def typed(folder: Path) -> None:
        said = io.StringIO()
        given = [word.replace("FOLDER", str(folder)) for word in words]
        where = [] if words[0] == "alphabet" else ["--data", str(folder)]
        with contextlib.redirect_stdout(said), contextlib.redirect_stderr(said):
            if trainer([*given, *where]):
                raise AssertionError(said.getvalue())

    return typed


def record(does: Callable[[Record], object]) -> Callable[[Path], object]:
    """A call on the open record."""

    def called(folder: Path) -> None:
        with Record.open(folder / RECORD, now=MONDAY) as opened:
            does(opened)

    return called


def _damage(folder: Path) -> None:
    with closing(sqlite3.connect(folder / RECORD)) as plain, plain:
        plain.execute("UPDATE attempt SET ink = x'00' WHERE id = 1")
        plain.execute("DELETE FROM tally")


def _own_letters(folder: Path) -> None:
    command("alphabet", "copy", "FOLDER/letters")(folder)


def _real_letters(folder: Path) -> None:
    """Letters that older checks judged."""
    letters = Alphabet.load()
    inks = [(name, write(letters[name].taught, seed=seed)) for seed, name in enumerate("abcdef")]
    with Record.open(folder / RECORD, now=MONDAY) as opened:
        opened.attempts.keep_many(
            [replace(attempt(1, name, written=written), checks="older") for name, written in inks]
        )


WORKS = {
    work.name: work
    for work in (
        Work("a stroke", record(lambda r: r.attempts.keep_draft(1, "t", Step.COPY, ink(seed=5)))),
        Work("a letter", record(lambda r: r.attempts.keep(attempt(1, "t", written=ink(seed=5))))),
        Work(
            "many attempts",
            record(lambda r: r.attempts.keep_many([attempt(1, "b", day=d) for d in range(9)])),
        ),
        Work("a pupil", command("pupil", "add", "Orla", "--group", "Quay")),
        Work("a pupil erased", command("pupil", "remove", "Nella", "--yes"), whole=False),
        Work("a group erased", record(lambda r: r.erasure.remove_group("Quay")), whole=False),
        Work("a plan", command("plan", "c", "o", "a", "--group", "Quay"), whole=False),
        Work("a note", record(lambda r: r.notes.add(1, "sits well", at=MONDAY))),
        Work("an overruling", record(lambda r: r.verdicts.overrule(3, formed=True, looks=True, reason="so"))),
        Work("a setting", command("settings", "--ink-days", "30", "--yes"), whole=False),
        Work(
            "ink past its time", lambda folder: Record.open(folder / RECORD, now=LATER).close(), whole=False
        ),
        Work("words of the school", command("words", "add", "tarn = t ar n", "--yes")),
        Work(
            "ink taken in",
            command("ink", "import", "FOLDER/ink.inkml", "--pupil", "Ábel ♥", "--yes"),
            whole=False,
            before=command("ink", "export", "FOLDER/ink.inkml", "--pupil", "Nella"),
        ),
        Work("ink written out", command("ink", "export", "FOLDER/ink.inkml"), whole=False),
        Work("letters judged again", command("recheck"), whole=False, before=_real_letters),
        Work("a table", command("summary", "--csv", "FOLDER/summary.csv"), whole=False),
        Work("a report", command("report", "--out", "FOLDER/report.pdf"), whole=False),
        Work("a sheet", command("sheet", "c", "--out", "FOLDER/sheet.pdf"), whole=False),
        Work("letters copied", _own_letters, whole=False),
        Work(
            "a cue changed",
            lambda folder: change_cue(folder / "letters", "c", 0, "round, and stop"),
            whole=False,
            before=_own_letters,
        ),
        Work("a backup", command("record", "backup", "FOLDER/copy.sqlite"), whole=False),
        Work(
            "a restore",
            command("record", "restore", "FOLDER/copy.sqlite", "--yes"),
            whole=False,
            before=command("record", "backup", "FOLDER/copy.sqlite"),
        ),
        Work("a record mended", command("record", "check", "--mend"), whole=False, before=_damage),
    )
}


def run(work: Work, folder: Path, last: int = 0) -> int | None:
    """Do it in a process of its own that is killed at its step `last`: how many steps it had, None if killed.

    Raises AssertionError where it fails by itself.
    """
    reading, writing = os.pipe()
    born = os.fork()
    if born == 0:
        os.close(reading)
        _stepping(work, folder, last, writing)
    os.close(writing)
    with open(reading, encoding="utf-8") as said:
        answer = said.read()
    status = os.waitpid(born, 0)[1]
    if os.WIFSIGNALED(status):
        return None
    if not answer.isdigit():
        raise AssertionError(answer.strip())
    return int(answer)


def _stepping(work: Work, folder: Path, last: int, answer: int) -> None:
    steps = count(1)

    def step(*_: object) -> None:
        if next(steps) == last:
            os.kill(os.getpid(), signal.SIGKILL)

    def heard(what: str, given: tuple[object, ...]) -> None:
        opens = what == "open" and isinstance(given[2], int) and given[2] & WRITES
        if (opens or what in ("os.rename", "os.remove", "os.mkdir", "os.rmdir")) and str(folder) in str(
            given[0]
        ):
            step()

    try:
        event.listen(Engine, "before_cursor_execute", step)
        event.listen(Engine, "commit", step)
        sys.addaudithook(heard)
        work.does(folder)
        os.write(answer, str(next(steps) - 1).encode())
    except BaseException:  # the only way out of a forked process that its parent hears of
        os.write(answer, traceback.format_exc().encode())
    os._exit(0)


def held(folder: Path) -> dict[str, object]:
    """All rows of the record, and all other files; moments, and what names them, are left out.

    A hidden file is one that was being written when the work was killed; nobody reads it.
    """
    files = {
        MOMENT.sub("-", str(path.relative_to(folder))): _content(path)
        for path in folder.rglob("*")
        if path.is_file() and not path.name.startswith(RECORD) and path.suffix != ".log"
        if not any(part.startswith(".") for part in path.relative_to(folder).parts)
    }
    rows = {
        name: [
            tuple(MOMENT.sub("-", value) if isinstance(value, str) else value for value in row)
            for row in table
        ]
        for name, table in everything(folder / RECORD).items()
    }
    return {**files, **rows}


def unfinished(folder: Path) -> list[Path]:
    """What is left there of files that were being written."""
    return [*folder.rglob(f"{NEW}*"), *folder.rglob(f"*{PART}*")]


def a_day_passes(folder: Path) -> None:
    """What was left there is by now surely of no program that lives."""
    for path in unfinished(folder):
        os.utime(path, (0, 0))


def _content(path: Path) -> object:
    """Its bytes; of what says when it was made, whether it is whole."""
    content = path.read_bytes()
    if content.startswith(b"SQLite format 3"):
        return everything(path)["attempt"]
    if content.startswith(b"%PDF"):
        return content.rstrip().endswith(b"%%EOF")
    return MOMENT.sub("-", content.decode("utf-8", "replace"))


def differences(first: dict[str, object], second: dict[str, object]) -> list[str]:
    """The names of what is not the same in both."""
    return sorted(name for name in {*first, *second} if first.get(name) != second.get(name))


def deaths(work: Work, template: Path, most: int) -> Iterator[str]:
    """Kill it at no more than `most` of its steps, spread over all; a line about each that cost something.

    The first line says how many steps and deaths there were.
    """
    with tempfile.TemporaryDirectory() as name:
        place = Path(name) / "data"
        begun = Path(shutil.copytree(template, Path(name) / "begun"))

        def fresh() -> Path:
            shutil.rmtree(place, ignore_errors=True)
            return Path(shutil.copytree(begun, place))

        if work.before is not None:
            work.before(begun)
        first = held(fresh())
        steps = run(work, place)
        assert steps, f"{work.name}: writes nothing"
        end = held(place)
        chosen = sorted({round(step) for step in np.linspace(1, steps, min(most, steps))})
        yield f"{steps} {len(chosen)}"
        for last in chosen:
            if run(work, fresh(), last) is not None:
                yield f"{work.name}, step {last}: was not killed"
                continue
            left = held(place)
            if work.whole and left not in (first, end):
                yield f"{work.name}, step {last}: neither done nor not done"
            if left != end:
                a_day_passes(place)
                try:
                    run(work, place)
                except AssertionError as error:
                    yield f"{work.name}, step {last}: run again it failed: {str(error).splitlines()[-1]}"
                    continue
                if halves := unfinished(place):
                    yield f"{work.name}, step {last}: run again it left {halves}"
            if differing := differences(held(place), end):
                yield f"{work.name}, step {last}: run again it came to another end in {differing}"
            if faults := check(place / RECORD):
                yield f"{work.name}, step {last}: {faults}"


def main() -> int:
    """Kill all works, or those that are named; 1 where a death cost something."""
    parser = argparse.ArgumentParser(prog="python -m tests.hostile.kills", description=__doc__)
    parser.add_argument("--count", type=int, default=1000, metavar="N", help="deaths of each work, at most")
    parser.add_argument("--only", action="append", choices=WORKS, metavar="WORK", help="one of the works")
    asked = parser.parse_args()
    faults: list[str] = []
    total = 0
    with tempfile.TemporaryDirectory() as name:
        template = Path(name)
        fill(template / RECORD)
        print(f"{'work':30} {'steps':>8} {'deaths':>8} {'costs':>8}")
        for work in map(WORKS.__getitem__, asked.only or WORKS):
            first, *costs = deaths(work, template, asked.count)
            steps, died = map(int, first.split())
            print(f"{work.name:30} {steps:8} {died:8} {len(costs):8}", flush=True)
            faults += costs
            total += died
    print(f"{total} deaths", *faults, sep="\n")
    return 1 if faults else 0


if __name__ == "__main__":
    sys.exit(main())
