"""The practice window is killed with SIGKILL at random moments; every lifted stroke is in the record.

A process that has loaded everything forks one window after another, each with SDL's dummy driver and a
child that writes; so fifty real deaths do not need fifty cold starts.
"""

import os
import random
import signal
import sqlite3
import subprocess
import sys
import time
from contextlib import closing

import pytest

from trainer.record.record import Record

TIMES = 4
MOST_TIMES = 40
"""Deaths until one has fallen into a letter and one window has lived until an answer, at most."""

MOST = 6
"""Lines that a window tells before the kill, at most: enough for a letter or two and their answers."""

LONGEST = 0.05
"""Seconds from the last of these lines to the kill, at most, so that it falls between two of them."""

WINDOWS = """
import os
import sys

from strokes.simulation import write
from tests.trainer.sessions import ALPHABET
from tests.trainer.test_practice import Child
from trainer.practice import open_window
from trainer.record import Record
from trainer.practice.scenes.cards import Cards
from trainer.practice.scenes.letters import Letters
from trainer.practice.scenes.writing import Writing


class ReportingChild(Child):
    '''Tells of each stroke once the window has taken its lift: which letter, which stroke, how it ended.'''

    letters = 0

    def wait(self, seconds):
        for _ in range(round(seconds * 10)):  # long frames: fewer of them to paint
            self.window.step([], 0.1)

    def write(self, ink):
        paper = self.screen
        for number, trace in enumerate(ink.transformed(paper.box.transform).traces):
            self.point("down", *trace.points[0])
            for x, y in trace.points[1:]:
                self.point("move", x, y)
            self.point("up", *trace.points[-1])
            kept = paper.pad.ink.traces[number]
            x, y = kept.points[-1]
            print("stroke", self.letters, number, len(kept), f"{x:.6f}", f"{y:.6f}", flush=True)
        while self.screen is paper:
            self.wait(0.1)
        print("answer", self.letters, flush=True)
        self.letters += 1


def practice(what, file):
    with Record.open(file) as record:
        window, _ = open_window(record, ALPHABET, size=(480, 320))
        child = ReportingChild(window)
        window.step([], 0.1)
        while True:
            if isinstance(child.screen, Writing):
                child.write(write(ALPHABET[child.screen.session.letter_name], seed=child.letters))
            elif isinstance(child.screen, Cards):
                child.press("card 0")
            elif isinstance(child.screen, Letters) and what == "words":
                child.press("words")
            else:
                child.press(next(button.name for button in child.screen.buttons.all if button.main))


for line in sys.stdin:
    born = os.fork()
    if born == 0:
        practice(*line.strip().split(maxsplit=1))
    print("born", born, flush=True)
    _, status = os.waitpid(born, 0)
    print("died", os.WTERMSIG(status) if os.WIFSIGNALED(status) else "alone", flush=True)
"""


@pytest.fixture
def windows():
    """The process that forks windows."""
    process = subprocess.Popen(
        [sys.executable, "-c", WINDOWS], stdin=subprocess.PIPE, stdout=subprocess.PIPE, text=True
    )
    yield process
    process.stdin.close()
    process.wait()
    process.stdout.close()


def printed_before_its_death(windows, what, file, lines, pause):
    """What one window told of `what` until it was killed, `pause` seconds after so many lines."""
    print(what, file, file=windows.stdin, flush=True)
    printed, number = [], None
    while len(printed) < lines or number is None:
        line = windows.stdout.readline().split()
        if line[0] == "born":
            number = int(line[1])
        else:
            assert line[0] != "died", "the window ended by itself"
            printed.append(line)
    time.sleep(pause)
    os.kill(number, signal.SIGKILL)
    while (line := windows.stdout.readline().split())[0] != "died":
        printed.append(line)
    assert line == ["died", str(int(signal.SIGKILL))]
    return printed


@pytest.mark.slow
@pytest.mark.skipif(not hasattr(os, "fork"), reason="the windows are forked, and SIGKILL is of POSIX")
def test_every_lifted_stroke_outlives_the_death_of_the_window(windows, tmp_path):
    """Deaths over one and the same record, so that each one also leaves its traces to the next."""
    file = tmp_path / "record.sqlite"
    with Record.open(file) as record:
        nella = record.pupils.add("Nella")
        record.plans.set(nella.group, ["k", "t", "b"])
        record.plans.set_words(nella.group, ["kit", "tub"])
    moments = random.Random(20)
    before = broken = answered = 0
    for turn in range(MOST_TIMES):
        if turn >= TIMES and broken and answered:
            break
        what = "words" if turn % 2 else "letters"
        lines = printed_before_its_death(
            windows, what, file, moments.randint(1, MOST), moments.uniform(0.0, LONGEST)
        )
        with closing(sqlite3.connect(file)) as plain:
            assert plain.execute("PRAGMA integrity_check").fetchall() == [("ok",)]
        with Record.open(file) as record:
            written = sorted(record.attempts.find(), key=lambda attempt: attempt.id)[before:]

        assert {attempt.in_word is not None for attempt in written} <= {what == "words"}
        assert len(written) - len({letter for _, letter, *_ in lines}) in (0, 1)
        for what, letter, *stroke in lines:
            kept_attempt = written[int(letter)]
            if what == "answer":
                assert kept_attempt.finished
                assert kept_attempt.verdict is not None
                answered += 1
            else:
                number, points, x, y = map(float, stroke)
                trace = kept_attempt.ink.traces[int(number)]
                assert len(trace) == points
                assert trace.points[-1] == pytest.approx((x, y), abs=1e-4)
        before += len(written)
        broken += not written[-1].finished
    assert broken, "no death fell into a letter"
    assert answered, "no window lived until an answer"
