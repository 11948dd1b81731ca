"""Windows with one screen for a grown-up: to measure the screen, and to try how it takes touches."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path

from trainer.language import text
from trainer.window import sdl
from trainer.window.contacts import Contacts, find
from trainer.window.scenes.measuring import Measuring
from trainer.window.scenes.touch_trial import Outcome, TouchTrial
from trainer.window.true_size import Scale, TrueSizes
from trainer.window.window import Window


def measure_screen(measured: Path, *, screen: int = 1) -> Scale:
    """Let a grown-up measure a screen with a bank card; gives back its scale as it then is.

    `measured` is the file in which it is kept, for every practice window on this machine.
    """

    def close() -> None:
        window.open = False

    window = Window(
        Measuring(lambda px_per_mm: window.keep_scale(px_per_mm), close, alone=True),
        fullscreen=True,
        screen=screen,
        title=text("practice.window"),
        true_sizes=TrueSizes(measured, sdl.display),
    )
    window.run()
    return window.scale


def try_touch(measured: Path, *, screen: int = 1) -> Sequence[Outcome]:
    """Walk a grown-up through the trials; gives back those that were made before the window was closed."""

    def close() -> None:
        window.open = False

    trial = TouchTrial(lambda: window.tally, close)
    window = Window(
        trial,
        fullscreen=True,
        screen=screen,
        title=text("practice.window"),
        true_sizes=TrueSizes(measured, sdl.display),
        contacts=Contacts(find().devices),
    )
    window.run()
    return trial.outcomes
