"""Screens that write, faults one after another, and what came of every stroke that was kept."""

from __future__ import annotations

import random
import signal
import subprocess
import sys
import tempfile
from collections import Counter
from collections.abc import Callable, Iterator
from contextlib import ExitStack, contextmanager
from dataclasses import dataclass, field
from functools import partial
from pathlib import Path
from threading import Thread
from time import monotonic, sleep

from tests.faults.proxy import Proxy
from tests.faults.writer import LETTERS, number_in
from tests.server import Server
from tests.waiting import HANG, until
from trainer.record.record import Record

ROOT = Path(__file__).parents[2]


@dataclass
class Screen:
    """A screen: its process, and what it said that it has kept, letter by letter."""

    number: int
    folder: Path
    address: str
    deaths: int = 0
    strokes: Counter[int] = field(default_factory=Counter)
    finished: set[int] = field(default_factory=set)
    pen_ups: list[tuple[float, float, float]] = field(default_factory=list)

    def start(self) -> None:
        """Start it; after a death it goes on in the same folder."""
        first = max(self.strokes, default=-10) + 10  # one that it has not told of may be there after a death
        words = [self.address, str(self.folder), str(self.number), str(first)]
        self.process = subprocess.Popen(
            [sys.executable, "-m", "tests.faults.writer", *words],
            stdin=subprocess.PIPE,
            stdout=subprocess.PIPE,
            text=True,
            cwd=ROOT,
        )
        self.reader = Thread(target=self._read, args=(self.process,), daemon=True)
        self.reader.start()

    def kill(self) -> None:
        """Kill it, and start it anew."""
        self.process.kill()
        self._end()
        self.deaths += 1
        self.start()

    def finish(self) -> None:
        """Let it send all that waits, and end."""
        assert self.process.stdin is not None
        self.process.stdin.close()
        self._end()
        assert self.process.returncode == 0, f"screen {self.number} ended with {self.process.returncode}"

    def _end(self) -> None:
        self.process.wait(HANG)
        self.reader.join(HANG)
        for end in (self.process.stdin, self.process.stdout):
            assert end is not None
            end.close()

    def _read(self, process: subprocess.Popen[str]) -> None:
        assert process.stdout is not None
        for line in process.stdout:
            if not line.endswith("\n"):
                return  # it was killed in the middle of it
            letter, stroke, at, took, worked = line.split()
            if stroke == "end":
                self.finished.add(int(letter))
            else:
                self.strokes[int(letter)] = int(stroke)
            self.pen_ups.append((float(at), float(took), float(worked)))


@dataclass
class Ground:
    """What faults happen to."""

    server: Server
    proxy: Proxy
    screens: list[Screen]
    random: random.Random

    def wait(self, shortest: float, longest: float) -> None:
        """Wait for a while of that length in seconds."""
        sleep(self.random.uniform(shortest, longest))


def drop(ground: Ground) -> None:
    """Every connection breaks."""
    ground.proxy.cut()


def refuse(ground: Ground) -> None:
    """Every connection breaks, and none is let in for a while."""
    ground.proxy.accepts = False
    ground.proxy.cut()
    ground.wait(0.1, 1.0)
    ground.proxy.accepts = True


def delay(ground: Ground, longest: float = 0.5) -> None:
    """Nothing passes for a while, and then all of it."""
    ground.proxy.hold(True)
    ground.wait(longest / 5, longest)
    ground.proxy.hold(False)


def silence(ground: Ground) -> None:
    """Nothing passes for so long that a window gives its question up; then the connections break."""
    delay(ground, 4.0)
    ground.proxy.cut()


def cut_commit(ground: Ground, where: str) -> None:
    """The next COMMIT is cut off."""
    ground.proxy.was_cut.clear()
    ground.proxy.cut_at = "before" if where == "before" else "after"
    until(lambda: ground.proxy.was_cut.is_set() or any(map(_ended, ground.screens)), "a COMMIT")
    assert ground.proxy.was_cut.is_set(), "no COMMIT came, as a screen has ended by itself"


def freeze(ground: Ground) -> None:
    """Every process of the server stands still for a while."""
    ground.server.signal(signal.SIGSTOP)
    ground.wait(0.1, 3.0)
    ground.server.signal(signal.SIGCONT)


def kill_server(ground: Ground) -> None:
    """Every process of the server is killed; it is started anew."""
    ground.server.kill()
    ground.wait(0.1, 0.5)
    ground.server.start()


def restart_server(ground: Ground) -> None:
    """The server is stopped and started anew."""
    ground.server.stop()
    ground.server.start()


def kill_screen(ground: Ground) -> None:
    """A screen is killed, and started anew."""
    ground.random.choice(ground.screens).kill()


FAULTS: dict[str, tuple[int, Callable[[Ground], None]]] = {
    "all connections dropped": (18, drop),
    "connections refused for a while": (10, refuse),
    "everything delayed": (14, delay),
    "silence of seconds": (4, silence),
    "cut off before a COMMIT arrives": (14, partial(cut_commit, where="before")),
    "cut off after a COMMIT, before its answer": (20, partial(cut_commit, where="after")),
    "the server stands still (SIGSTOP)": (8, freeze),
    "the server killed (SIGKILL), started anew": (5, kill_server),
    "the server stopped, started anew": (3, restart_server),
    "a screen killed (SIGKILL)": (4, kill_screen),
}
"""The faults, each with its share of a hundred."""

QUIET = "between the faults"


@dataclass
class Outcome:
    """How often each fault was, the pen-ups during it in seconds, and what is wrong with what was kept."""

    times: Counter[str] = field(default_factory=Counter)
    pen_ups: dict[str, list[tuple[float, float]]] = field(default_factory=dict)
    letters: int = 0
    wrong: list[str] = field(default_factory=list)


def run(server: Server, faults: list[str], *, seed: int, screens: int = 2) -> Outcome:
    """Do these faults, one after another, while so many screens write; then look what the record has."""
    address = server.new("faults")
    with Record.open(address) as record:
        for name in ("Nella", "Bo", "Ines"):
            record.pupils.add(name)
        record.deliveries.identity()
    outcome, spans = Outcome(), []
    with ExitStack() as stack:
        proxy = stack.enter_context(Proxy(server))
        folder = Path(stack.enter_context(tempfile.TemporaryDirectory()))
        there = []
        for number in range(1, screens + 1):
            (folder / str(number)).mkdir()
            there.append(Screen(number, folder / str(number), proxy.address("faults")))
        ground = Ground(server, proxy, there, random.Random(seed))
        stack.enter_context(_running(there))
        for screen in there:
            until(partial(_writes, screen), "a screen to write")
        for fault in faults:
            begun = monotonic()
            FAULTS[fault][1](ground)
            ground.wait(0.1, 0.3)  # what a fault does is felt for a moment
            spans.append((begun, monotonic(), fault))
            outcome.times[fault] += 1
            ground.wait(0.0, 0.2)
        for screen in there:
            screen.finish()
        with Record.open(address) as record:
            _compare(record, there, outcome)
    for screen in there:
        for at, took, worked in screen.pen_ups:
            during = next((fault for begun, ended, fault in spans if begun <= at <= ended), QUIET)
            outcome.pen_ups.setdefault(during, []).append((took, worked))
    return outcome


def _ended(screen: Screen) -> bool:
    return screen.process.poll() is not None


def _writes(screen: Screen) -> bool:
    assert not _ended(screen), f"screen {screen.number} did not come up"
    return bool(screen.pen_ups)


@contextmanager
def _running(screens: list[Screen]) -> Iterator[None]:
    """The screens are started, and none is left when the block ends."""
    try:
        for screen in screens:
            screen.start()
        yield
    finally:
        for screen in screens:
            if not _ended(screen):
                screen.process.kill()
                screen.process.wait(HANG)


def _compare(record: Record, screens: list[Screen], outcome: Outcome) -> None:
    """Every letter that was kept is there once, with all strokes that were kept, and finished if it was."""
    times_there = Counter[tuple[int, int]]()
    for attempt in record.attempts.find():
        screen_number, letter = number_in(attempt.ink)
        screen = screens[screen_number - 1]
        times_there[screen_number, letter] += 1
        name = f"screen {screen_number}, letter {letter}"
        if len(attempt.ink) < screen.strokes[letter]:
            outcome.wrong.append(f"{name}: strokes are lost")
        if letter in screen.finished and not attempt.finished:
            outcome.wrong.append(f"{name}: its end is lost")
        if attempt.letter != LETTERS[letter % len(LETTERS)]:
            outcome.wrong.append(f"{name}: it is another letter")
    outcome.letters = times_there.total()
    many = [(*where, times) for where, times in times_there.items() if times > 1]
    outcome.wrong += [f"screen {screen}, letter {letter}: {times} times" for screen, letter, times in many]
    for screen in screens:
        lost = set(screen.strokes) - {letter for number, letter in times_there if number == screen.number}
        outcome.wrong += [f"screen {screen.number}, letter {letter}: lost" for letter in sorted(lost)]
        unsaid = {letter for number, letter in times_there if number == screen.number} - set(screen.strokes)
        if len(unsaid) > screen.deaths:
            outcome.wrong.append(f"screen {screen.number}: letters that it did not write")
