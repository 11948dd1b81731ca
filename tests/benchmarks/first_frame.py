"""Time to the first frame of `trainer practice` in a fresh process, against a bare pygame window with numpy.

Run by hand: `python -m tests.benchmarks.first_frame`. The machine decides the times; the ratio of medians
should stay under 2. Runs take turns, on a record with a few pupils in it. The first frame is the opening
screen; the cards follow when the record is open, and are timed too.
"""

from __future__ import annotations

import os
import subprocess
import sys
import tempfile
from pathlib import Path
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
import pygame
import trainer.window.window
step = trainer.window.window.Window.step
def first(window, *given):
    step(window, *given)
    if sys.argv[2] in ("", type(window.scene).__name__):
        os._exit(0)  # the frame is on the screen: the clock stops with the process
trainer.window.window.Window.step = first
from trainer.commands.cli import main
sys.exit(main(["practice", "--data", sys.argv[1], "--size", "1280x800"]))
"""


def seconds(code: str, *given: str) -> float:
    """How long a fresh process takes."""
    environment = {"SDL_VIDEODRIVER": "dummy", **os.environ, "PYGAME_HIDE_SUPPORT_PROMPT": "1"}
    start = perf_counter()
    subprocess.run([sys.executable, "-c", code, *given], cwd=ROOT, env=environment, check=True)
    return perf_counter() - start


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
        seconds(BARE), seconds(PRACTICE, folder, "Cards")  # once unmeasured: files come into the cache
        for _ in range(RUNS):
            bare.append(seconds(BARE))
            opening.append(seconds(PRACTICE, folder, ""))
            cards.append(seconds(PRACTICE, folder, "Cards"))
    for name, times in (("bare window with numpy", bare), ("first frame", opening), ("the cards", cards)):
        print(f"{name:24} {median(times) * 1e3:6.0f} ms   ratio {median(times) / median(bare):5.2f}")


if __name__ == "__main__":
    main()
