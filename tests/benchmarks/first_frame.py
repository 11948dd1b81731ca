"""Time to the first frame of `trainer practice` in a fresh process, against a bare pygame window with numpy.

Run by hand: `python -m tests.benchmarks.first_frame`. The machine decides the times; the ratio of medians
should stay under 2, and that of the cards, which follow when the record is open, under 2.5. Runs take turns,
on a record with a few pupils in it. The first frame is the opening screen. Modules are compiled before, as
pip does it: where PYTHONDONTWRITEBYTECODE is set, Python would compile all of ours anew at each start. The
ratio by the processor tells most where the machine has other work.
"""

from __future__ import annotations

import os
import subprocess
import sys
import tempfile
from pathlib import Path
from resource import RUSAGE_CHILDREN, getrusage
from statistics import median
from time import perf_counter

ROOT = Path(__file__).parents[2]
RUNS = 11

BARE = """
import numpy
import pygame
pygame.display.init()
screen = pygame.display.set_mode((1280, 800), pygame.RESIZABLE)
screen.fill((253, 252, 248))
pygame.display.flip()
import os
os._exit(0)
"""

PRACTICE = """
import os, sys
from trainer.commands import practice
keeping_log = practice.keeping_log
def opening(*given):  # all is imported, in the order and by the hand of the command
    from trainer.window.window import Window
    step = Window.step
    def first(window):
        step(window)
        if sys.argv[2] in ("", type(window.scene).__name__):
            os._exit(0)  # the frame is on the screen: the clock stops with the process
    Window.step = first
    return keeping_log(*given)
practice.keeping_log = opening
from trainer.commands.cli import main
sys.exit(main(["practice", "--data", sys.argv[1], "--size", "1280x800"]))
"""


def seconds(code: str, folder: str, *given: str) -> tuple[float, float]:
    """How long a fresh process takes, and works; what it compiles lies in `folder`."""
    environment = {"SDL_VIDEODRIVER": "dummy", **os.environ, "PYGAME_HIDE_SUPPORT_PROMPT": "1"}
    environment.pop("PYTHONDONTWRITEBYTECODE", None)
    environment["PYTHONPYCACHEPREFIX"] = folder
    start, worked = perf_counter(), getrusage(RUSAGE_CHILDREN)
    subprocess.run([sys.executable, "-c", code, *given], cwd=ROOT, env=environment, check=True)
    elapsed, after = perf_counter() - start, getrusage(RUSAGE_CHILDREN)
    return elapsed, after.ru_utime + after.ru_stime - worked.ru_utime - worked.ru_stime


def main() -> None:
    """Print the medians and their ratio."""
    with tempfile.TemporaryDirectory() as folder:
        for name in ("Ada", "Ines", "Tom"):
            subprocess.run(
                [sys.executable, "-m", "trainer", "pupil", "add", name, "--data", folder],
                cwd=ROOT,
                check=True,
                stdout=subprocess.DEVNULL,
            )
        bare, opening, cards = [], [], []
        compiled = f"{folder}/compiled"
        (
            seconds(BARE, compiled),
            seconds(PRACTICE, compiled, folder, "Cards"),
        )  # once unmeasured: all is cached
        for _ in range(RUNS):
            bare.append(seconds(BARE, compiled))
            opening.append(seconds(PRACTICE, compiled, folder, ""))
            cards.append(seconds(PRACTICE, compiled, folder, "Cards"))
    print(f"{'':24}{'by the clock':>18}{'by the processor':>24}")
    least = [median(column) for column in zip(*bare, strict=True)]
    for name, runs in (("bare window with numpy", bare), ("first frame", opening), ("the cards", cards)):
        times = [median(column) for column in zip(*runs, strict=True)]
        shown = (f"{time * 1e3:9.0f} ms {time / low:7.2f}" for time, low in zip(times, least, strict=True))
        print(f"{name:24}" + "    ".join(shown))


if __name__ == "__main__":
    main()
