from __future__ import annotations

from collections.abc import Iterator
from typing import Any

import numpy as np
import pygame
import pygame.surfarray
import pytest

from trainer.drawing import theme
from trainer.drawing.surface import Drawing
from trainer.drawing.theme import Metrics
from trainer.errors import ScreenError
from trainer.window.events import KeyEvent, PointerEvent
from trainer.window.scenes.scene import Mark, Scene, Tip
from trainer.window.window import LONGEST, Window

SIZE = (800, 480)


class Slate(Scene):
    """A scene on which one can write; remembers what it was told."""

    def __init__(self, after: Scene | None = None) -> None:
        super().__init__()
        self.events: list[PointerEvent] = []
        self.keys: list[str] = []
        self.ticks: list[float] = []
        self.sizes: list[tuple[int, int]] = []
        self.drawn = 0
        self.after = after

    def draw(self, canvas: Drawing) -> None:
        self.drawn += 1
        canvas.line([(50, 400), (700, 400)], 3, theme.GUIDE)

    def on_pointer(self, event: PointerEvent) -> Scene | None:
        self.events.append(event)
        if event.action == "down":
            self.marks.append(Mark(12.0, theme.BLUE))
        self.marks[-1].points.append((event.x, event.y))
        return self.after

    def on_key(self, event: KeyEvent) -> Scene | None:
        self.keys.append(event.key)
        return self.after

    def on_tick(self, seconds: float) -> Scene | None:
        self.ticks.append(seconds)
        return None

    def on_resize(self, size: tuple[int, int], metrics: Metrics) -> None:
        assert (metrics.width, metrics.height) == size
        self.sizes.append(size)


@pytest.fixture
def slate() -> Slate:
    return Slate()


@pytest.fixture
def window(slate: Slate) -> Iterator[Window]:
    shown = Window(slate, size=SIZE)
    yield shown
    shown.close()


def press(x: int, y: int) -> Any:
    return pygame.event.Event(pygame.MOUSEBUTTONDOWN, pos=(x, y), button=1, touch=False)


def drag(x: int, y: int) -> Any:
    return pygame.event.Event(pygame.MOUSEMOTION, pos=(x, y), rel=(0, 0), buttons=(1, 0, 0), touch=False)


def release(x: int, y: int) -> Any:
    return pygame.event.Event(pygame.MOUSEBUTTONUP, pos=(x, y), button=1, touch=False)


def key(code: int) -> Any:
    return pygame.event.Event(pygame.KEYDOWN, key=code, mod=0, unicode="")


def screen(window: Window) -> np.ndarray:
    return pygame.surfarray.array3d(window.screen).swapaxes(0, 1)


BLUE = np.array(theme.rgb(theme.BLUE))


def test_the_first_step_draws_the_scene_once(window: Window, slate: Slate) -> None:
    window.step([], 0.016)
    window.step([], 0.016)
    assert (slate.drawn, slate.stale, slate.sizes) == (1, False, [SIZE])
    assert tuple(screen(window)[400, 300]) == theme.rgb(theme.GUIDE)
    assert tuple(screen(window)[100, 300]) == theme.rgb(theme.PAPER)


def test_a_written_line_is_on_the_screen_in_the_same_step(window: Window, slate: Slate) -> None:
    window.step([], 0.016)
    window.step([press(100, 100), drag(120, 110), drag(160, 120)], 0.016)
    assert (screen(window)[120, 160] == BLUE).all(), "the tail reaches the pen"
    window.step([drag(200, 140), release(200, 140)], 0.016)
    assert (screen(window)[140, 200] == BLUE).all()
    assert slate.drawn == 1, "the still page is not painted again"


def test_the_screen_looks_the_same_when_it_is_painted_anew(window: Window, slate: Slate) -> None:
    window.step([press(100, 100)], 0.016)
    for step in range(60):
        window.step([drag(100 + 5 * step, 200 + round(90 * np.sin(step / 5)))], 0.016)
    window.step([release(400, 200)], 0.2)
    window.step([], 0.2)
    before = screen(window).astype(int)
    slate.stale = True
    window.step([], 0.016)
    assert slate.drawn == 2
    assert np.abs(before - screen(window)).max() <= 2


def test_a_mark_that_is_taken_back_leaves_the_page_and_all_other_ink(window: Window, slate: Slate) -> None:
    window.step([press(100, 400), drag(400, 400), release(400, 400)], 0.016)
    window.step([], 0.2)
    alone = screen(window)
    window.step([press(250, 300), drag(250, 440), release(250, 440)], 0.016)
    window.step([], 0.2)
    assert (screen(window) != alone).any()
    slate.marks.pop()
    window.step([], 0.016)
    assert np.abs(screen(window).astype(int) - alone).max() <= 2
    slate.marks.pop()
    window.step([], 0.016)
    assert tuple(screen(window)[400, 300]) == theme.rgb(theme.GUIDE)


def test_the_tip_moves_without_a_trace(window: Window, slate: Slate) -> None:
    window.step([], 0.016)
    still = screen(window)
    for x in (100.0, 300.0, 500.0):
        slate.tip = Tip((x, 200.0), 15.0, theme.VERMILLION)
        window.step([], 0.016)
        assert tuple(screen(window)[200, int(x)]) == theme.rgb(theme.VERMILLION)
    slate.tip = None
    window.step([], 0.016)
    assert (screen(window) == still).all()


def test_events_of_a_frame_are_spread_over_it(window: Window, slate: Slate) -> None:
    window.step([], 1.0)
    window.step([press(100, 100), drag(120, 110), drag(160, 120), drag(170, 120)], 0.04)
    assert [event.time for event in slate.events] == pytest.approx([1.01, 1.02, 1.03, 1.04])


def test_a_stalled_machine_does_not_make_the_scene_jump(window: Window, slate: Slate) -> None:
    window.step([], 5.0)
    assert slate.ticks == [LONGEST]


def test_what_was_read_after_a_change_of_scene_is_dropped(window: Window, slate: Slate) -> None:
    """A lift of the finger never lands on the next screen."""
    following = Slate()
    slate.after = following
    window.step([press(100, 100), drag(110, 100), release(120, 100), press(300, 100)], 0.016)
    assert window.scene is following
    assert len(slate.events) == 1
    window.step([drag(320, 100), release(320, 100)], 0.016)
    assert following.events == []
    assert following.sizes == [SIZE]
    window.step([press(320, 100)], 0.016)
    assert [event.action for event in following.events] == ["down"]


def test_a_lift_that_was_dropped_does_not_shut_out_the_mouse(window: Window, slate: Slate) -> None:
    following = Slate()
    slate.after = following
    touch = {"finger_id": 1, "touch_id": 1, "dx": 0, "dy": 0, "x": 0.5, "y": 0.5}
    down, up = (pygame.event.Event(kind, **touch) for kind in (pygame.FINGERDOWN, pygame.FINGERUP))
    window.step([down, up], 0.016)
    assert window.scene is following
    window.step([], 2.0)
    window.step([press(320, 100)], 0.016)
    assert [event.action for event in following.events] == ["down"]


def test_ink_of_the_scene_before_is_gone(window: Window, slate: Slate) -> None:
    window.step([press(100, 100), drag(300, 100), release(300, 100)], 0.016)
    slate.after = Slate()
    window.step([key(pygame.K_SPACE)], 0.016)
    assert tuple(screen(window)[100, 200]) == theme.rgb(theme.PAPER)


def test_ink_that_the_next_scene_takes_over_stays(window: Window, slate: Slate) -> None:
    window.step([press(100, 100), drag(300, 100), release(300, 100)], 0.016)
    following = Slate()
    following.marks = slate.marks
    slate.after = following
    window.step([key(pygame.K_SPACE)], 0.016)
    assert (screen(window)[100, 200] == BLUE).all()


def test_keys_are_told_by_name(window: Window, slate: Slate) -> None:
    window.step([key(pygame.K_a), key(pygame.K_RETURN)], 0.016)
    assert slate.keys == ["a", "return"]


def test_the_close_button_ends_and_a_pen_that_is_down_is_told(window: Window, slate: Slate) -> None:
    window.step([press(100, 100)], 0.016)
    window.step([pygame.event.Event(pygame.QUIT)], 0.016)
    assert not window.open
    window.close()
    assert slate.events[-1].action == "cancel"


def test_f11_goes_to_full_screen_and_back(window: Window, slate: Slate) -> None:
    window.step([key(pygame.K_F11)], 0.016)
    assert window.fullscreen
    window.step([key(pygame.K_F11)], 0.016)
    assert not window.fullscreen
    assert window.size == SIZE
    assert slate.keys == []


@pytest.mark.parametrize("size", [(480, 800), (1280, 800), (3840, 2160)])
def test_a_window_may_change_to_any_size(window: Window, slate: Slate, size: tuple[int, int]) -> None:
    window.step([press(100, 100), drag(200, 100)], 0.016)
    pygame.display.set_mode(size, pygame.RESIZABLE)
    window.step([pygame.event.Event(pygame.VIDEORESIZE, size=size, w=size[0], h=size[1])], 0.016)
    assert (window.size, slate.sizes[-1]) == (size, size)
    assert slate.events[-1].action == "cancel"
    assert slate.drawn == 2
    assert (screen(window)[100, 150] == BLUE).all(), "a scene that keeps its marks keeps its ink"


def test_run_ends_and_closes_the_display(slate: Slate) -> None:
    window = Window(slate, size=SIZE)
    pygame.event.post(pygame.event.Event(pygame.QUIT))
    window.run()
    assert not pygame.display.get_init()


def test_a_hand_resting_outside_the_targets_of_a_scene_is_refused(window: Window, slate: Slate) -> None:
    slate.wants = lambda x, _: x < 400  # type: ignore[method-assign]
    touch = {"touch_id": 1, "dx": 0, "dy": 0, "y": 0.5}
    window.step([pygame.event.Event(pygame.FINGERDOWN, finger_id=1, x=0.9, **touch)], 0.016)
    window.step([pygame.event.Event(pygame.FINGERDOWN, finger_id=2, x=0.1, **touch)], 0.016)
    assert [(event.action, round(event.x)) for event in slate.events] == [("down", 80)]


@pytest.mark.parametrize("count", [20, 2000])
def test_a_frame_updates_as_little_with_much_ink_as_with_little(
    window: Window, monkeypatch: pytest.MonkeyPatch, count: int
) -> None:
    window.step([press(400, 240)], 0.016)
    for step in range(count):
        window.step([drag(400 + round(200 * np.cos(step / 9)), 240 + round(150 * np.sin(step / 7)))], 0.016)
    updated: list[pygame.Rect] = []
    monkeypatch.setattr(pygame.display, "update", updated.extend)
    window.step([drag(410, 240)], 0.016)
    window.step([drag(420, 245)], 0.016)
    last = updated[-4:]
    assert sum(area.width * area.height for area in last) < 800 * 480 / 2
    assert len(updated) <= 8


@pytest.mark.parametrize("driver", ["offscreen", "none such"])
def test_a_machine_without_a_screen_is_told_so(driver, monkeypatch):
    """SDL would fall back on drawing into memory, and the program would run on unseen."""
    pygame.display.quit()
    monkeypatch.setenv("SDL_VIDEODRIVER", driver)

    with pytest.raises(ScreenError, match="no screen"):
        Window(Scene(), size=SIZE)
