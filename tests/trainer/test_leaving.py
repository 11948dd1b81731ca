"""Leaving the window: Escape and a long press in the corner ask first, and what was there stays."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

import numpy as np
import pygame
import pygame.surfarray
import pytest

from strokes.simulation.hand import write
from tests.trainer.sessions import ALPHABET, NOW, Memory, finished
from trainer.attempt import Step
from trainer.drawing import theme
from trainer.practice.navigation import Navigation
from trainer.practice.scenes.answer import Answer
from trainer.practice.scenes.asking import Asking
from trainer.practice.scenes.cards import Cards
from trainer.practice.scenes.letters import Letters
from trainer.practice.scenes.opening import Opening
from trainer.practice.scenes.rest import Rest
from trainer.practice.scenes.trouble import Trouble
from trainer.practice.scenes.watching import Watching
from trainer.practice.scenes.writing import Writing
from trainer.practice.session import Session
from trainer.window import long_press
from trainer.window.events import PointerEvent
from trainer.window.scenes.layout import corner
from trainer.window.scenes.leaving import Leaving
from trainer.window.scenes.scene import Scene
from trainer.window.window import Window

SIZE = (1280, 800)
FRAME = 1 / 60
B = ALPHABET["b"]


class Desk:
    """A window with a child at it, and somebody who touches it with a finger, a mouse or a key."""

    def __init__(self, hand: Any = "right") -> None:
        self.memory = Memory(3, hand=hand, plan=["b", "t"])
        self.navigation = Navigation(Session(ALPHABET, now=lambda: NOW), self.memory)
        self.window = Window(self.navigation.cards(), size=SIZE)
        self.navigation.choose(self.memory.all[0])
        self.navigation.begin("b")
        self.wait(FRAME)

    def go(self, scene: Scene) -> Any:
        self.window._follow(scene)
        self.wait(FRAME)
        return scene

    def wait(self, seconds: float) -> None:
        for _ in range(max(1, round(seconds / FRAME))):
            self.window.step([], FRAME)

    def key(self, code: int) -> None:
        self.window.step([pygame.event.Event(pygame.KEYDOWN, key=code, mod=0, unicode="")], FRAME)

    def escape(self) -> None:
        self.key(pygame.K_ESCAPE)

    def finger(self, kind: int, x: float, y: float, number: int = 1) -> None:
        place = {"x": x / self.window.size[0], "y": y / self.window.size[1]}
        event = pygame.event.Event(kind, finger_id=number, touch_id=1, dx=0, dy=0, **place)
        self.window.step([event], FRAME)

    def down(self, x: float, y: float, number: int = 1) -> None:
        self.finger(pygame.FINGERDOWN, x, y, number)

    def up(self, x: float, y: float, number: int = 1) -> None:
        self.finger(pygame.FINGERUP, x, y, number)

    def tap(self, name: str) -> None:
        scene: Any = self.window.scene
        x, y = next(button for button in scene.buttons.all if button.name == name).rect.center
        self.down(x, y)
        self.up(x, y)

    def line(self, points: np.ndarray, *, lift: bool) -> None:
        """Write a line of letter space with the finger."""
        scene: Any = self.window.scene
        places = scene.box.transform.apply(points)
        self.down(*places[0])
        for place in places[1:]:
            self.finger(pygame.FINGERMOTION, *place)
        if lift:
            self.up(*places[-1])

    @property
    def corner(self) -> tuple[float, float]:
        return corner(self.window.metrics, self.window.scene.hand).center


@pytest.fixture(params=["right", "left"])
def desk(request: pytest.FixtureRequest) -> Iterator[Desk]:
    made = Desk(request.param)
    yield made
    made.window.close()


SCREENS = {
    Opening: lambda _: Opening(lambda: Scene()),
    Cards: lambda navigation: navigation.cards(),
    Asking: lambda navigation: Asking(navigation, navigation.storage.all_pupils()[0]),
    Letters: lambda navigation: navigation.letters(),
    Watching: lambda navigation: navigation.watch(),
    Writing: lambda navigation: Writing(navigation, Step.COPY),
    Answer: lambda navigation: finished(navigation, write(B)),
    Rest: lambda navigation: Rest(navigation, navigation.write),
    Trouble: lambda navigation: Trouble(navigation, "harbor.sqlite: no room", navigation.write),
}


@pytest.mark.parametrize("kind", SCREENS, ids=lambda kind: kind.__name__)
def test_from_every_screen_escape_asks_and_stay_goes_back_to_it(desk, kind):
    if kind is Opening:  # it moves on by itself after a frame
        desk.window._follow(Opening(Scene))
        desk.window.step([pygame.event.Event(pygame.KEYDOWN, key=pygame.K_ESCAPE, mod=0, unicode="")], 0)
        before = desk.window.scene.behind
    else:
        before = desk.go(SCREENS[kind](desk.navigation))
        desk.escape()
    assert isinstance(desk.window.scene, Leaving)
    assert isinstance(before, kind)

    desk.tap("stay")

    assert desk.window.open
    assert desk.window.scene is before


@pytest.mark.parametrize("kind", list(SCREENS)[1:], ids=lambda kind: kind.__name__)
def test_from_every_screen_a_long_press_in_the_corner_asks(desk, kind):
    before = desk.go(SCREENS[kind](desk.navigation))

    desk.down(*desk.corner)
    desk.wait(long_press.SECONDS - 0.2)
    assert desk.window.scene is before
    desk.wait(0.3)

    assert isinstance(desk.window.scene, Leaving)
    assert desk.window.scene.behind is before
    desk.up(*desk.corner)
    desk.tap("out")
    assert not desk.window.open


def test_escape_again_goes_back_and_a_third_time_asks_again(desk):
    writing = desk.go(Writing(desk.navigation, Step.COPY))
    for expected in (Leaving, Writing, Leaving):
        desk.escape()
        assert isinstance(desk.window.scene, expected)
    desk.key(pygame.K_RETURN)  # the main button: stay

    assert desk.window.scene is writing


def test_the_close_button_closes_at_once_also_while_it_is_asked(desk):
    writing = desk.go(Writing(desk.navigation, Step.COPY))
    desk.line(write(B).traces[0].points, lift=False)
    desk.escape()

    desk.window.step([pygame.event.Event(pygame.QUIT)], FRAME)
    desk.window.close()

    assert not desk.window.open
    assert desk.memory.drafts == [("b", Step.COPY, 1)]
    assert len(writing.pad.ink) == 1


def test_ink_under_the_pen_is_kept_and_stands_there_again_after_staying(desk):
    """Half of the letter is written, then Escape, stay, and the letter is written to its end."""
    points = ALPHABET["t"].taught.strokes[0].path
    desk.navigation.begin("t")
    writing = desk.go(Writing(desk.navigation, Step.TRACE))
    desk.line(points, lift=False)
    shown = pygame.surfarray.array3d(desk.window.screen)

    desk.escape()
    assert desk.memory.drafts == [("t", Step.TRACE, 1)]
    desk.wait(20.0)  # no time passes for what is behind the question
    assert not (pygame.surfarray.array3d(desk.window.screen) == theme.rgb(theme.BLUE)).all(axis=2).any()
    desk.tap("stay")
    desk.wait(0.3)

    assert desk.window.scene is writing
    ink = (shown == theme.rgb(theme.BLUE)).all(axis=2)
    again = (pygame.surfarray.array3d(desk.window.screen) == theme.rgb(theme.BLUE)).all(axis=2)
    assert ink.sum() > 1000
    assert (ink & again).sum() > 0.98 * ink.sum()
    desk.line(ALPHABET["t"].taught.strokes[1].path, lift=True)
    assert desk.memory.drafts[-1] == ("t", Step.TRACE, 2)
    desk.wait(2.0)
    assert isinstance(desk.window.scene, Answer)
    assert len(desk.memory.stored[0].ink) == 2


def test_leaving_with_a_half_written_letter_keeps_it(desk):
    desk.go(Writing(desk.navigation, Step.COPY))
    desk.line(write(B).traces[0].points[:20], lift=False)
    desk.escape()
    desk.tap("out")
    desk.window.close()

    assert not desk.window.open
    assert desk.memory.drafts == [("b", Step.COPY, 1)]


@pytest.mark.parametrize("held", [0.1, 1.0, 1.9])
def test_a_shorter_press_in_the_corner_changes_nothing_and_its_ring_goes(desk, held):
    letters = desk.go(desk.navigation.letters())
    before = pygame.surfarray.array3d(desk.window.screen)

    desk.down(*desk.corner)
    desk.wait(held)
    desk.up(*desk.corner)
    desk.wait(0.5)

    assert desk.window.scene is letters
    assert (pygame.surfarray.array3d(desk.window.screen) == before).all()


def test_the_ring_grows_steadily_while_the_finger_is_held(desk):
    """Nothing flashes: there is a little more of it from frame to frame, never less, all on the screen."""
    desk.go(desk.navigation.letters())
    before = pygame.surfarray.array3d(desk.window.screen).astype(np.int16)
    left, top = (max(0, round(place) - 200) for place in desk.corner)
    around = np.s_[left : left + 400, top : top + 400]
    desk.down(*desk.corner)
    grown = []
    for _ in range(round(1.9 / FRAME)):
        desk.wait(FRAME)
        now = pygame.surfarray.pixels3d(desk.window.screen)
        grown.append(int((np.abs(now[around] - before[around]).max(axis=2) > 60).sum()))
        del now  # it holds the screen

    changed = np.abs(pygame.surfarray.array3d(desk.window.screen) - before).max(axis=2) > 60
    assert changed.sum() == grown[-1]
    assert grown[5] == 0
    steps = np.diff(grown)
    assert steps.min() >= -20  # the soft edge at its tip
    assert steps.max() < 0.05 * grown[-1]
    assert grown[-1] > 1500


def test_a_finger_that_moves_away_from_the_corner_asks_nothing(desk):
    letters = desk.go(desk.navigation.letters())
    x, y = desk.corner
    desk.down(x, y)
    desk.finger(pygame.FINGERMOTION, x + (150 if x < 640 else -150), y + 150)
    desk.wait(3.0)

    assert desk.window.scene is letters


@pytest.mark.parametrize("moved", [False, True])
def test_a_thumb_in_the_corner_does_not_shut_out_the_pen(desk, moved):
    """A tablet is held there: the pen that comes down on the paper writes, and nobody is asked."""
    writing = desk.go(Writing(desk.navigation, Step.COPY))
    x, y = desk.corner
    desk.down(x, y, number=7)
    desk.wait(0.7)
    if moved:
        desk.finger(pygame.FINGERMOTION, x + (60 if x < 640 else -60), y + 60, number=7)

    desk.line(write(B).traces[0].points, lift=True)
    assert len(writing.pad.ink) == 1
    assert desk.window.scene is writing
    desk.up(x, y, number=7)
    assert isinstance(desk.window.scene, Writing)


def test_a_press_that_a_change_of_the_screen_overtook_asks_nothing(desk):
    desk.go(desk.navigation.letters())
    desk.down(*desk.corner)
    desk.wait(1.0)
    cards = desk.go(desk.navigation.cards())
    desk.wait(3.0)

    assert desk.window.scene is cards


def test_a_mouse_can_do_it_too(desk):
    desk.go(desk.navigation.letters())
    place = tuple(map(round, desk.corner))
    desk.window.step([pygame.event.Event(pygame.MOUSEBUTTONDOWN, pos=place, button=1, touch=False)], FRAME)
    desk.wait(2.1)

    assert isinstance(desk.window.scene, Leaving)


def test_it_works_in_full_screen_too(desk):
    desk.go(desk.navigation.letters())
    desk.key(pygame.K_F11)
    assert desk.window.fullscreen
    desk.down(*desk.corner)
    desk.wait(2.1)
    assert isinstance(desk.window.scene, Leaving)
    desk.up(*desk.corner)
    desk.key(pygame.K_F11)

    desk.tap("stay")

    assert isinstance(desk.window.scene, Letters)
    assert not desk.window.fullscreen


def test_the_corner_lies_away_from_the_buttons_of_either_hand():
    places = {hand: corner(Desk(hand).window.metrics, hand).center[0] for hand in ("right", "left", None)}

    assert places["right"] == places[None] < 100
    assert places["left"] > SIZE[0] - 100


def test_a_window_made_smaller_while_it_is_asked_shows_the_letter_in_its_new_place(desk):
    writing = desk.go(Writing(desk.navigation, Step.COPY))
    desk.line(write(B).traces[0].points, lift=True)
    desk.escape()
    pygame.display.set_mode((800, 480), pygame.RESIZABLE)
    desk.window.step([pygame.event.Event(pygame.VIDEORESIZE, size=(800, 480), w=800, h=480)], FRAME)

    desk.tap("stay")

    assert desk.window.size == (800, 480)
    expected = writing.box.transform.apply(writing.pad.ink.traces[0].points)
    assert np.allclose(writing.marks[-1].points, expected)


def test_a_session_goes_on_as_it_was(desk):
    desk.go(desk.navigation.watch())
    practiced = desk.navigation.session.practiced
    desk.escape()
    desk.wait(30.0)
    desk.tap("stay")

    assert desk.navigation.session.pupil == desk.memory.all[0]
    assert desk.navigation.session.practiced <= practiced + 5 * FRAME


def test_a_scene_that_wants_the_corner_for_itself_gets_its_touches():
    """Ink that begins there is ink: nobody is asked while it is written."""

    handed_over: list[str] = []

    class Slate(Scene):
        def on_pointer(self, event: PointerEvent) -> None:
            handed_over.append(event.action)

    desk = Desk()
    slate = desk.go(Slate())
    desk.down(5, 5)
    desk.wait(3.0)
    desk.up(5, 5)

    assert handed_over == ["down", "up"]
    assert desk.window.scene is slate
    desk.window.close()
