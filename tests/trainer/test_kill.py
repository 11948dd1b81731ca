"""A program that writes is killed with SIGKILL at random moments; every lifted stroke is in the record."""

import random
import signal
import sqlite3
import subprocess
import sys
import time
from contextlib import closing

import pytest

from tests.trainer.samples import ink
from tests.trainer.test_packing import assert_same_ink
from trainer.record import Record

TIMES = 50
STROKES = 3

WRITER = f"""
import sys
from itertools import count
from tests.trainer.samples import attempt, ink
from trainer.attempt import Step
from trainer.record import Record

with Record.open(sys.argv[1]) as record:
    pupil = record.pupils()[0].id
    for letter in count():
        for strokes in range(1, {STROKES} + 1):
            record.keep_draft(pupil, "k", Step.COPY, ink(seed=letter, traces=strokes))
            print(letter, strokes, flush=True)
        record.keep(attempt(pupil, "k", written=ink(seed=letter, traces={STROKES})))
        print(letter, "kept", flush=True)
"""


def killed_writer(file, pause):
    """The lines a writer got out before it was killed, `pause` seconds after its first stroke."""
    writer = subprocess.Popen([sys.executable, "-c", WRITER, str(file)], stdout=subprocess.PIPE, text=True)
    first = writer.stdout.readline()
    time.sleep(pause)
    writer.kill()
    rest = writer.stdout.read()
    writer.stdout.close()
    assert writer.wait() == -signal.SIGKILL
    # A line cut short by the kill was not told, and a stroke not told may be there or not.
    return [line.split() for line in (first + rest).splitlines(keepends=True) if line.endswith("\n")]


@pytest.mark.skipif(sys.platform == "win32", reason="SIGKILL is of POSIX")
def test_every_lifted_stroke_outlives_the_death_of_the_program(tmp_path):
    """Fifty deaths over one and the same record, so that each one also leaves its traces to the next."""
    file = tmp_path / "record.sqlite"
    with Record.open(file) as record:
        record.add_pupil("Nella")
    moments = random.Random(20)
    before = broken = 0
    for _ in range(TIMES):
        told = killed_writer(file, moments.uniform(0.0, 0.06))
        with closing(sqlite3.connect(file)) as plain:
            assert plain.execute("PRAGMA integrity_check").fetchall() == [("ok",)]
        with Record.open(file) as record:
            written = sorted(record.attempts(), key=lambda kept: kept.id)[before:]

        assert 1 + int(told[-1][0]) <= len(written) <= 2 + int(told[-1][0])
        for letter, what in told:
            kept = written[int(letter)]
            assert len(kept.ink) >= (STROKES if what == "kept" else int(what))
            assert kept.finished >= (what == "kept")
        for letter, kept in enumerate(written):
            assert_same_ink(kept.ink, ink(seed=letter, traces=len(kept.ink)))
        before += len(written)
        broken += not written[-1].finished
    assert broken > 0, "no death fell into the middle of a letter, so nothing was tried"
