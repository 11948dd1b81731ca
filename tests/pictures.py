"""Takes the pictures of README.md in the real window, without a display: `python -m tests.pictures [FOLDER]`.

The letter is written by the simulated hand, stroke by stroke, as the events of a mouse would bring it.
"""

from __future__ import annotations

import os
import sys
import tempfile
from pathlib import Path

os.environ["SDL_VIDEODRIVER"] = "dummy"
os.environ["PYGAME_HIDE_SUPPORT_PROMPT"] = "1"

import numpy as np
import pygame

from strokes import Alphabet, Ink, Kind
from strokes.polyline import Polyline
from strokes.simulation.hand import Fault, write
from trainer.drawing.raster import picture
from trainer.practice.opening import open_window
from trainer.practice.scenes.writing import Writing
from trainer.record.record import Record
from trainer.wall import open_wall, typed_items
from trainer.wall.turns import Act
from trainer.window.window import Window

FOLDER = Path(__file__).parents[1] / "assets" / "pictures"
SIZE = (1280, 800)
FRAME = 1 / 60


class Visitor:
    """Somebody with a mouse in front of a window."""

    def __init__(self, window: Window) -> None:
        self.window = window
        self.place: Polyline = np.zeros(2)

    def press(self, name: str) -> None:
        """Touch the first button whose name begins so."""
        buttons = self.window.scene.buttons.all  # type: ignore[attr-defined]
        rect = next(button.rect for button in buttons if button.name.startswith(name))
        self._drag(np.array([rect.center]))
        self.wait(0.2)

    def write(self, ink: Ink, *, lift: bool = True) -> None:
        """Write ink of letter space on the paper; without `lift` the pen stays down at the end."""
        scene = self.window.scene
        assert isinstance(scene, Writing)
        for number, trace in enumerate(ink.traces, start=1):
            self._drag(scene.box.transform.apply(trace.points), lift=lift or number < len(ink))

    def lift(self) -> None:
        """Lift the pen where it is."""
        self._event(pygame.MOUSEBUTTONUP, self.place, button=1)

    def wait(self, seconds: float) -> None:
        """Let time pass."""
        for _ in range(round(seconds / FRAME)):
            self.window.step([], FRAME)

    def take(self, path: Path) -> None:
        """Keep what is seen."""
        self.wait(FRAME)
        pygame.image.save(self.window.screen, str(path))

    def _drag(self, line: Polyline, *, lift: bool = True) -> None:
        self._event(pygame.MOUSEBUTTONDOWN, line[0], button=1)
        for point in line[1:]:
            self._event(pygame.MOUSEMOTION, point, rel=(0, 0), buttons=(1, 0, 0))
        if lift:
            self.lift()

    def _event(self, kind: int, place: Polyline, **more: object) -> None:
        self.place = place
        event = pygame.event.Event(kind, pos=(round(place[0]), round(place[1])), touch=False, **more)
        self.window.step([event], FRAME)


def main(folder: Path = FOLDER) -> None:
    """The alphabet; a letter being traced; a stroke that is shown again; a word in its boxes; the wall."""
    folder.mkdir(parents=True, exist_ok=True)
    alphabet = Alphabet.load()
    picture.draw(alphabet, folder / "alphabet.png", width=1000)
    with tempfile.TemporaryDirectory() as data, Record.open(Path(data) / "record.sqlite") as record:
        pupil = record.pupils.add("Nilo", hand="right", group="Lighthouse")
        record.plans.set(pupil.group, ("k", "a", "d"))
        window, _ = open_window(record, alphabet, size=SIZE)
        visitor = Visitor(window)
        visitor.wait(0.2)
        visitor.press("card")
        visitor.press("letter k")
        visitor.press("go")
        well = write(alphabet["k"], tremor=0.015)
        points = well.traces[0].points
        visitor.write(Ink.from_arrays([points[: len(points) * 3 // 4]]), lift=False)
        visitor.take(folder / "practice.png")
        visitor.lift()
        visitor.press("clear")
        upward = write(alphabet["k"], fault=Fault(Kind.DIRECTION), tremor=0.015)
        visitor.write(Ink(upward.traces[:1]))
        visitor.wait(1.2)
        visitor.take(folder / "again.png")
        visitor.press("leave")
        record.plans.set_words(pupil.group, ["ship"])
        for name in ("words", "word ship", "on", "done"):
            visitor.press(name)
        for letter in "sh":
            visitor.write(write(alphabet[letter], tremor=0.015))
            visitor.wait(3.0)
        visitor.write(Ink(write(alphabet["i"], tremor=0.015).traces[:1]), lift=False)
        visitor.take(folder / "word.png")
        window.close()
    window, wall = open_wall(typed_items(["shake"], alphabet, {}), size=SIZE)
    while (wall.turn.act, wall.turn.place) != (Act.WRITE, 3):
        wall.on()
    visitor = Visitor(window)
    visitor.wait(1.4)
    visitor.take(folder / "wall.png")
    window.close()


if __name__ == "__main__":
    main(*(Path(word) for word in sys.argv[1:2]))
