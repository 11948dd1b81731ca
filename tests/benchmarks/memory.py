"""Resident memory over 500 words on the wall and in practice: python -m tests.benchmarks.memory [WORDS]

Sprites of what was drawn are held up to a bound, which is reached within the first hundred words. In practice
a child hears each word, counts it, and writes it once in its boxes with the model. Linux alone, by /proc.
"""

from __future__ import annotations

import os
import resource
import sys
import tempfile
from pathlib import Path

os.environ["SDL_VIDEODRIVER"] = "dummy"

from strokes.simulation import write
from tests.trainer.sessions import ALPHABET
from tests.trainer.test_practice import Child
from trainer.attempt import Step
from trainer.places import RECORD
from trainer.practice import open_window
from trainer.practice.scenes.word_counting import Counting
from trainer.practice.scenes.writing import Writing
from trainer.record import Record
from trainer.wall import WallWord, open_wall
from trainer.wall.turns import Act
from trainer.wordbank import Word, shipped_words

EVERY = 100
"""Words between two lines that are printed."""


def main(count: int = 500) -> None:
    """Print the memory on the way."""
    words = [word for word in shipped_words().words if word.letters <= set(ALPHABET)][:count]
    on_the_wall(words)
    in_practice(words)


def on_the_wall(words: list[Word]) -> None:
    """Every turn is shown for two frames."""
    window, scene = open_wall([WallWord(word, ALPHABET) for word in words], size=(1280, 800))
    reported = -1
    while scene.turn.act is not Act.END:
        window.step([], 0.1)
        window.step([], 0.1)
        if scene.turn.item % EVERY == 0 and scene.turn.item != reported:
            reported = scene.turn.item
            tell("on the wall", reported)
        scene.on()
    tell("on the wall", len(words))
    window.close()


class Hurried(Child):
    """A child whose frames are long, so that few are painted."""

    def wait(self, seconds: float) -> None:
        for _ in range(max(1, round(seconds * 5))):
            self.window.step([], 0.2)


def in_practice(words: list[Word]) -> None:
    """Word by word, the way a child goes but for two of three times that each is written."""
    with tempfile.TemporaryDirectory() as folder, Record.open(Path(folder) / RECORD) as record:
        nella = record.pupils.add("Nella")
        record.plans.set_words(nella.group, [word.text for word in words])
        window, session = open_window(record, ALPHABET, size=(800, 480))
        child = Hurried(window)
        window.step([], 0.1)
        child.press("card 0")
        child.press("words")
        for number, word in enumerate(words):
            if number % EVERY == 0:
                tell("in practice", number)
            window._follow(child.screen.routes.words.begin(word))
            window.step([], 0.1)
            assert session.word is not None
            session.word.step = Step.COPY
            while session.word is not None and not session.word.done:
                step(child)
        tell("in practice", len(words))
        window.close()


def step(child: Hurried) -> None:
    """What a child does on the screen that is there."""
    screen = child.screen
    if isinstance(screen, Writing):
        for trace in write(ALPHABET[screen.session.letter_name]).transformed(screen.box.transform).traces:
            child.point("down", *trace.points[0])
            for x, y in trace.points[1::4]:
                child.point("move", x, y)
            child.point("up", *trace.points[-1])
        for _ in range(30):
            if child.window.scene is screen:
                child.wait(0.2)
    elif isinstance(screen, Counting):
        child.press("tap")
        child.press("done")
    else:
        child.press(next(button.name for button in screen.buttons.all if button.main))


def tell(where: str, number: int) -> None:
    """One line: how much memory is there after so many words."""
    pages = int(Path("/proc/self/statm").read_text().split()[1])
    print(f"{where}, word {number}: {pages * resource.getpagesize() / 1e6:.1f} MB", flush=True)


if __name__ == "__main__":
    main(*map(int, sys.argv[1:2]))
