"""Practice on an old machine: one core at a quarter of its speed.

Run by hand, on a machine with nothing else to do: `python -m tests.benchmarks.old_machine [--share 0.25]`.
A child process opens the practice window, somebody writes letters in it, and all of that runs on one core,
stopped for three quarters of each hundredth of a second (SIGSTOP and SIGCONT, as cpulimit does it). Aimed at
are the cards within 4 s, 33 ms a frame while the pen moves, and an answer 150 ms after the pen-up. The last
columns are four times what the processor worked, which other work on the machine hardly changes.
"""

from __future__ import annotations

import argparse
import json
import os
import signal
import subprocess
import sys
import tempfile
import threading
from collections.abc import Callable
from pathlib import Path
from statistics import median, quantiles
from time import perf_counter, process_time, sleep

ROOT = Path(__file__).parents[2]

PERIOD = 0.01
"""Seconds of one turn of running and standing still: shorter than a frame."""

LETTERS = "oclaeirndtkxgq"

AIMS = {"cards": 4.0, "a frame": 0.033, "an answer": 0.15}


def child(folder: Path) -> None:
    """Write the letters and print what was measured: seconds by the clock, and of the processor."""
    begun = float(os.environ["BEGUN"])
    os.environ.update(SDL_VIDEODRIVER="dummy", SDL_AUDIODRIVER="dummy", PYGAME_HIDE_SUPPORT_PROMPT="1")

    import pygame

    from trainer.commands.options import Location
    from trainer.practice import navigation, opening
    from trainer.practice.scenes.cards import Cards
    from trainer.practice.scenes.writing import Writing
    from trainer.window.window import Window

    location = Location(folder)
    spent: dict[str, list[tuple[float, float]]] = {name: [] for name in AIMS}
    made: list[navigation.Navigation] = []

    class Watched(navigation.Navigation):
        def __init__(self, *given: object, **named: object) -> None:
            super().__init__(*given, **named)  # type: ignore[arg-type]
            made.append(self)

    def run(window: Window) -> None:
        while not isinstance(window.scene, Cards):
            window.step()
        window.step()
        spent["cards"].append((perf_counter() - begun, process_time()))
        for letter in LETTERS:
            write(window, letter)
        window.close()

    def write(window: Window, letter: str) -> None:
        from strokes.simulation.hand import write as by_hand

        made[0].welcome(made[0].storage.all_pupils()[0])
        made[0].begin(letter)
        for thread in set(threading.enumerate()) - {threading.main_thread()}:
            thread.join()  # she watches how it is written meanwhile
        window._follow(made[0].write())
        scene = window.scene
        assert isinstance(scene, Writing)
        window.step([])
        for trace in by_hand(made[0].session.alphabet[letter]).transformed(scene.box.transform).traces:
            spots = [(round(x), round(y)) for x, y in trace.points.tolist()]
            window.step([pressed(spots[0])])
            for first, second in zip(spots[1::2], spots[2::2], strict=False):
                timed(
                    "a frame", lambda first=first, second=second: window.step([moved(first), moved(second)])
                )
            timed("an answer", lambda spots=spots: window.step([released(spots[-1])]))

    def timed(name: str, call: Callable[[], None]) -> None:
        start, worked = perf_counter(), process_time()
        call()
        spent[name].append((perf_counter() - start, process_time() - worked))

    def pressed(spot: tuple[int, int]) -> pygame.event.Event:
        return pygame.event.Event(pygame.MOUSEBUTTONDOWN, pos=spot, button=1, touch=False)

    def moved(spot: tuple[int, int]) -> pygame.event.Event:
        return pygame.event.Event(pygame.MOUSEMOTION, pos=spot, rel=(0, 0), buttons=(1, 0, 0), touch=False)

    def released(spot: tuple[int, int]) -> pygame.event.Event:
        return pygame.event.Event(pygame.MOUSEBUTTONUP, pos=spot, button=1, touch=False)

    opening.Navigation = Watched  # type: ignore[misc]
    opening.Window.run = run  # type: ignore[method-assign]
    opening.run(location.open_record, location.alphabets, size=(1280, 800))
    print(json.dumps(spent))


def throttled(folder: Path, share: float) -> dict[str, list[tuple[float, float]]]:
    """What the child measured, on one core and with that share of its time."""
    environment = {key: value for key, value in os.environ.items() if key != "PYTHONDONTWRITEBYTECODE"}
    environment |= {"BEGUN": str(perf_counter()), "PYTHONPYCACHEPREFIX": str(folder / "compiled")}
    command = [sys.executable, "-m", "tests.benchmarks.old_machine", "--child", str(folder)]
    process = subprocess.Popen(command, cwd=ROOT, env=environment, stdout=subprocess.PIPE, text=True)
    if hasattr(os, "sched_setaffinity"):
        os.sched_setaffinity(process.pid, {min(os.sched_getaffinity(0))})
    while process.poll() is None:
        if share < 1:
            process.send_signal(signal.SIGSTOP)
            sleep(PERIOD * (1 - share))
            process.send_signal(signal.SIGCONT)
        sleep(PERIOD * share)
    assert process.stdout is not None
    measured: dict[str, list[tuple[float, float]]] = json.loads(process.stdout.read().splitlines()[-1])
    return measured


def main() -> None:
    """Print the median and the 95th percentile of each, and whether it is as it should be."""
    parser = argparse.ArgumentParser()
    parser.add_argument("--child", type=Path)
    parser.add_argument("--share", type=float, default=0.25)
    given = parser.parse_args()
    if given.child is not None:
        child(given.child)
        return
    with tempfile.TemporaryDirectory() as folder:
        add = [sys.executable, "-m", "trainer", "pupil", "add", "Ada", "--data", folder]
        subprocess.run(add, cwd=ROOT, check=True, stdout=subprocess.DEVNULL)
        throttled(Path(folder), 1.0)  # once unmeasured: everything is compiled and in the cache then
        measured = throttled(Path(folder), given.share)
    print(f"{'':12}{'aimed at, ms':>14}{'median':>10}{'95th':>10}{'by work':>10}{'95th':>10}")
    for name, pairs in measured.items():
        clock, work = map(list, zip(*pairs, strict=True))
        work = [seconds / given.share for seconds in work]
        figures = [figure for times in (clock, work) for figure in (median(times), late(times))]
        print(f"{name:12}{AIMS[name] * 1e3:>14.0f}" + "".join(f"{figure * 1e3:>10.1f}" for figure in figures))


def late(times: list[float]) -> float:
    """The 95th percentile."""
    return quantiles(times, n=20)[-1] if len(times) > 1 else times[0]


if __name__ == "__main__":
    main()
