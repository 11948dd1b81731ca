"""The start screen: every door is in sight at every size, and is gone through by finger or by keyboard."""

from __future__ import annotations

from itertools import pairwise
from pathlib import Path

import pygame
import pytest

from tests.trainer.sessions import ALPHABET, Memory, press, shown
from trainer import practice
from trainer.drawing.theme import BUTTON_MM, Metrics
from trainer.places import record_file
from trainer.practice.navigation import Navigation
from trainer.practice.scenes.doors import PRACTICE, Door, Doors
from trainer.practice.session import Session
from trainer.record import Record
from trainer.teaching import Alphabets
from trainer.window.events import KeyEvent
from trainer.window.scenes.scene import Scene
from trainer.window.window import Window

BEHIND = Scene()


@pytest.fixture
def entered() -> list[str]:
    return []


@pytest.fixture
def doors(entered: list[str]) -> Doors:
    def enter(name: str) -> Scene:
        entered.append(name)
        return BEHIND

    return Doors([Door(PRACTICE, "practice"), Door("show", "wall"), Door("desk", "desk")], enter)


@pytest.mark.parametrize("size", [(1280, 800), (1920, 1080), (800, 480), (800, 1280), (480, 320)])
def test_the_doors_are_large_apart_and_in_sight(doors: Doors, size: tuple[int, int]) -> None:
    shown(doors, size)
    metrics = Metrics.of(size)
    rects = [button.rect for button in doors.buttons.all]

    for rect in rects:
        assert min(rect.width, rect.height) >= metrics.mm(BUTTON_MM)
        assert 0 <= rect.left < rect.right <= size[0]
        assert 0 <= rect.top < rect.bottom <= size[1]
    for first, second in pairwise(rects):
        assert first.right < second.left or first.bottom < second.top


def test_a_touch_goes_through_the_door_that_it_is_on(doors: Doors, entered: list[str]) -> None:
    assert press(shown(doors), "desk") is BEHIND
    assert press(shown(doors), PRACTICE) is BEHIND
    assert entered == ["desk", PRACTICE]


def test_the_keyboard_chooses_and_enters(doors: Doors, entered: list[str]) -> None:
    shown(doors)
    for key in ("return", "tab", "return", "right", "space", "tab", "space", "left", "return", "a"):
        doors.on_key(KeyEvent(key))

    assert entered == [PRACTICE, "show", "desk", PRACTICE, "desk"]
    assert [button.name for button in doors.buttons.all if button.main] == ["desk"]


def test_nobody_is_asked_before_the_start_screen_closes(doors: Doors) -> None:
    window = Window(doors, size=(800, 480))
    window._ask()
    assert not window.open
    window.close()


@pytest.mark.parametrize(
    ("screen", "filled"), [(1, (0, False)), (2, (1, True)), (3, (0, False))], ids=["first", "second", "none"]
)
def test_a_second_screen_is_filled_and_where_there_is_none_a_window_opens(
    monkeypatch: pytest.MonkeyPatch, screen: int, filled: tuple[int, bool]
) -> None:
    """SDL's dummy driver has one screen: that a second one is asked for is all that can be seen here."""
    asked = []
    set_mode = pygame.display.set_mode

    def one_screen(size: tuple[int, int], flags: int, display: int) -> pygame.Surface:
        asked.append((display, bool(flags & pygame.FULLSCREEN)))
        return set_mode(size, flags)

    monkeypatch.setattr("pygame.display.get_desktop_sizes", lambda: [(1280, 800), (1920, 1080)])
    monkeypatch.setattr("pygame.display.set_mode", one_screen)

    Window(Scene(), screen=screen).close()

    assert asked == [filled]


def test_the_childrens_door_leads_to_the_cards_in_the_same_window_and_another_one_closes_it(
    monkeypatch: pytest.MonkeyPatch, tmp_path: Path
) -> None:
    """Nothing is opened before a door is chosen: neither record nor letters."""
    seen: list[str] = []
    keys: list[str] = []

    def stepped(window: Window) -> None:
        for key in keys:
            window.step([pygame.event.Event(pygame.KEYDOWN, key=pygame.key.key_code(key))], 0.02)
        for _ in range(3):
            window.step([], 0.02)
        seen.append(f"{type(window.scene).__name__} {window.open}")
        window.close()

    def run() -> str:
        return practice.run(
            lambda: Record.open(record_file(tmp_path)),
            lambda _: Alphabets(tmp_path),
            size=(800, 480),
            opened=lambda: seen.append("opened"),
            doors=[Door(PRACTICE, "practice"), Door("desk", "desk")],
        )

    monkeypatch.setattr(Window, "run", stepped)
    assert run() == ""
    keys[:] = ["return"]
    assert run() == PRACTICE
    keys[:] = ["tab", "return"]
    assert run() == "desk"

    assert seen == ["Doors True", "opened", "Cards True", "Doors False"]


def test_a_window_on_an_empty_record_says_what_opens_the_desk_on_it() -> None:
    navigation = Navigation(Session(ALPHABET), Memory(0), desk_line="trainer desk --data here")
    cards = shown(navigation.cards(), (800, 480))

    assert cards.teacher.endswith("trainer desk --data here")
    assert shown(Navigation(Session(ALPHABET), Memory(1)).cards()).teacher == ""
