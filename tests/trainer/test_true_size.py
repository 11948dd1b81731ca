"""A millimeter on the glass: as a bank card says, else the system where it can be believed, else guessed."""

from __future__ import annotations

import json
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pygame
import pytest

from tests.cases import for_each
from tests.recording import RecordingCanvas
from tests.trainer.sessions import press
from trainer.drawing import theme
from trainer.drawing.theme import Metrics
from trainer.errors import PlaceError
from trainer.language.texts import text
from trainer.window import sdl, trials
from trainer.window.events import KeyEvent, PointerEvent
from trainer.window.scenes.leaving import Leaving
from trainer.window.scenes.measuring import CARD_MM, Measuring
from trainer.window.scenes.scene import Scene
from trainer.window.true_size import Display, Scale, TrueSizes, told_by_system
from trainer.window.window import Window

DESKTOP = Display("Quay 24", (1920, 1080), (527, 296))
TELEVISION = Display("Mole 55", (3840, 2160), (160, 90))


def show(screen: Measuring | Leaving, metrics: Metrics) -> None:
    screen.on_resize((metrics.width, metrics.height), metrics)


@pytest.mark.parametrize(
    ("size", "millimeters", "px_per_mm"),
    [
        ((1920, 1080), (527, 296), 3.646),
        ((1080, 1920), (296, 527), 3.646),
        ((1080, 1920), (527, 296), 3.646),  # turned, and its millimeters are not
        ((800, 480), (154, 86), 5.388),  # a panel of 7 inches, rounded
        ((1366, 768), (310, 170), 4.462),  # in whole centimeters
        ((3840, 2160), (1428, 803), 2.689),
    ],
)
def test_what_the_system_says_is_taken_where_it_can_be_a_screen(size, millimeters, px_per_mm) -> None:
    scale = told_by_system(Display("", size, millimeters))

    assert (scale.source, scale.doubt) == ("system", None)
    assert scale.px_per_mm == pytest.approx(px_per_mm, abs=0.001)


@for_each(
    ("size", "millimeters", "doubt"),
    [
        ((1920, 1080), None, None),
        ((1920, 1080), (0, 0), None),
        ((1920, 1080), (527, 0), None),
        ((1920, 1080), (16, 9), "ratio"),
        ((1920, 1200), (160, 100), "ratio"),
        ((1080, 1920), (90, 160), "ratio"),
        ((1920, 1080), (508, 286), "standard"),
        ((1280, 800), (339, 212), "standard"),
        ((1024, 768), (527, 296), "shape"),
        ((1920, 1080), (53, 30), "density"),
        ((640, 480), (800, 600), "density"),
    ],
)
def test_what_cannot_be_a_screen_is_not_believed_and_the_window_guesses(size, millimeters, doubt) -> None:
    assert told_by_system(Display("", size, millimeters)) == Scale(None, "guess", doubt)


def test_what_was_measured_holds_for_that_screen_alone_and_comes_before_the_system(tmp_path: Path) -> None:
    """Another screen in its place, or another mode, is another screen; a turned one is not."""
    screens = [DESKTOP, TELEVISION]
    sizes = TrueSizes(tmp_path / "new" / "screens.json", screens.__getitem__)
    sizes.keep(1, 2.69)

    again = TrueSizes(tmp_path / "new" / "screens.json", screens.__getitem__)
    assert again.scale(1) == Scale(2.69, "card")
    assert again.scale(0).source == "system"
    screens[1] = Display("Mole 55", (2160, 3840), (90, 160))
    assert again.scale(1) == Scale(2.69, "card")
    for other in (Display("Mole 55", (1920, 1080), (160, 90)), Display("Pier 43", (3840, 2160), (160, 90))):
        screens[1] = other
        assert again.scale(1) == Scale(doubt="ratio")
    screens[1] = TELEVISION
    again.keep(1, None)
    again.keep(1, None)
    assert sizes.scale(1) == Scale(doubt="ratio")


@pytest.mark.parametrize(
    "written", [b"", b"\xff\xfe", b"[1]", b"3", b'{"a": "b"}', b'{"a": null}', b"[" * 9_000, b'{"KEY": 900}']
)
def test_a_damaged_file_counts_as_nothing_and_is_written_anew(tmp_path: Path, written: bytes) -> None:
    file = tmp_path / "screens.json"
    file.write_bytes(written.replace(b"KEY", DESKTOP.key.encode()))
    sizes = TrueSizes(file, lambda _: DESKTOP)

    assert sizes.scale(0).source == "system"
    sizes.keep(0, 3.7)
    assert sizes.scale(0) == Scale(3.7, "card")
    assert DESKTOP.key in json.loads(file.read_bytes())


def test_without_a_screen_that_says_something_nothing_is_known() -> None:
    """SDL's dummy driver says nothing of millimeters; one that was unplugged is asked for as the first."""
    pygame.display.init()
    try:
        display = sdl.display(0)
        assert sdl.display(7) == display
        assert (display.size, display.millimeters) == (pygame.display.get_desktop_sizes()[0], None)
    finally:
        pygame.display.quit()


def test_dots_per_inch_are_millimeters_where_the_driver_means_real_ones(monkeypatch) -> None:
    """As SDL counts them, from the millimeters of a screen of 24 inches."""

    class Library:
        def SDL_GetDisplayName(self, number: int) -> bytes:  # noqa: N802 - SDL names it
            return f" Quay {24 + number} ".encode()

        def SDL_GetDisplayDPI(self, _: int, diagonal: Any, across: Any, down: Any) -> int:  # noqa: N802
            for dpi, value in ((diagonal, 94.0), (across, 1920 * 25.4 / 527), (down, 1080 * 25.4 / 296)):
                dpi._obj.value = value
            return 0

    monkeypatch.setattr(sdl, "_library", Library)
    monkeypatch.setattr(pygame.display, "get_desktop_sizes", lambda: [(1920, 1080)])
    for driver, millimeters in (("x11", (527, 296)), ("windows", None), ("wayland", None)):
        monkeypatch.setattr(pygame.display, "get_driver", lambda driver=driver: driver)
        assert sdl.display(0) == Display("Quay 24", (1920, 1080), millimeters)
    monkeypatch.setattr(sdl, "_library", lambda: None)
    assert sdl.display(0).name == ""


def test_on_a_coarse_screen_words_stay_readable_and_the_letters_keep_their_size() -> None:
    """A 65-inch board of 1920 px: 1.34 px to the millimeter (1428 mm across)."""
    board = Metrics.of((1920, 1080), 1.34)

    assert board.true_mm(48) == pytest.approx(64.3, abs=0.1)
    assert board.mm(3.2) >= 10.8
    assert board.button_mm >= theme.BUTTON_MM


def test_a_screen_too_small_for_buttons_of_15_mm_has_smaller_ones_and_that_is_said() -> None:
    telephone = Metrics.of((2340, 1080), 15.6)
    assert telephone.button_mm == pytest.approx(1080 / 6 / 15.6)
    screen = Measuring(lambda _: None, lambda: None)
    show(screen, telephone)
    assert text("practice.measuring.small", mm="12", room="90") in screen.words
    show(screen, Metrics.of((1920, 1080), 3.6))
    screen.px_per_mm = 3.6
    assert "15 mm" not in screen.words


# The bank card


@pytest.mark.parametrize("size", [(1280, 800), (800, 480), (480, 800), (1920, 1080), (480, 320)])
def test_the_card_is_drawn_as_wide_as_it_is_said_to_be_and_stays_on_the_screen(size) -> None:
    screen = Measuring(lambda _: None, lambda: None)
    show(screen, Metrics.of(size))
    for px_per_mm in (0.1, 2.5, Metrics.of(size).px_per_mm, 500.0):
        screen._set(px_per_mm)
        canvas = RecordingCanvas(size)
        screen.draw(canvas)
        card = canvas.named("panel")[0].given["rect"]
        assert max(card.width, card.height) == pytest.approx(screen.px_per_mm * CARD_MM[0])
        for button in screen.buttons.all:
            assert card.right <= button.rect.left or card.bottom <= button.rect.top
        assert 0 <= card.left < card.right <= size[0]
        assert 0 <= card.top < card.bottom <= size[1]


@pytest.mark.parametrize(("size", "to"), [((1280, 800), (-200, 30)), ((480, 800), (30, -200))])
def test_the_edge_follows_the_finger_and_goes_a_pixel_at_a_press(size, to) -> None:
    screen = Measuring(lambda _: None, lambda: None)
    show(screen, Metrics.of(size))
    before, (x, y) = screen.long_side, screen.room.center

    screen.on_pointer(PointerEvent("move", x, y, 0.0))  # one that came down elsewhere
    screen.on_pointer(PointerEvent("down", x, y, 0.1))
    screen.on_pointer(PointerEvent("move", x + to[0] / 2, y + to[1] / 2, 0.2))
    screen.on_pointer(PointerEvent("up", x + to[0], y + to[1], 0.3))
    assert screen.long_side == pytest.approx(before - 200)
    press(screen, "smaller")
    screen.on_key(KeyEvent("left"))
    press(screen, "larger")
    assert screen.long_side == pytest.approx(before - 201)


class Harbor:
    """A window on a screen that says no millimeters, and where it is kept what is measured there."""

    def __init__(self, file: Path) -> None:
        self.display = Display("Quay 24", (1024, 768))
        self.sizes = TrueSizes(file, lambda _: self.display)
        self.window = Window(Scene(), size=(800, 480), true_sizes=self.sizes)

    def to_measuring(self) -> Measuring:
        self.window._ask()
        leaving = self.window.scene
        assert isinstance(leaving, Leaving)
        self.window._follow(press(leaving, "measure"))
        measuring = self.window.scene
        assert isinstance(measuring, Measuring)
        return measuring


@pytest.fixture
def harbor(tmp_path: Path) -> Iterator[Harbor]:
    shown = Harbor(tmp_path / "screens.json")
    yield shown
    shown.window.close()


def test_from_leaving_the_screen_is_measured_and_the_window_goes_by_it_at_once(harbor: Harbor) -> None:
    window, behind, guessed = harbor.window, harbor.window.scene, harbor.window.metrics.px_per_mm

    measuring = harbor.to_measuring()
    press(measuring, "smaller")
    window._follow(press(measuring, "back"))
    assert (window.scene, window.metrics.px_per_mm) == (behind, guessed)

    measuring = harbor.to_measuring()
    assert "forget" not in {button.name for button in measuring.buttons.all}
    measuring._set(4.0)
    window._follow(press(measuring, "keep"))
    assert window.scene is behind
    assert (window.metrics.px_per_mm, window.metrics.measured) == (4.0, True)

    window._follow(press(harbor.to_measuring(), "forget"))
    assert window.metrics.px_per_mm == guessed


def test_a_window_that_is_moved_to_another_screen_has_the_millimeters_of_that_one(harbor: Harbor) -> None:
    harbor.display = DESKTOP
    harbor.window.step([pygame.event.Event(pygame.WINDOWDISPLAYCHANGED, display_index=1)], 0.02)

    assert harbor.window.metrics.px_per_mm == pytest.approx(3.646, abs=0.001)
    assert harbor.window.display == 1


def test_where_it_cannot_be_kept_that_is_said_and_nothing_changes(harbor: Harbor) -> None:
    assert harbor.sizes.file is not None
    harbor.sizes.file.mkdir()
    measuring = harbor.to_measuring()

    assert press(measuring, "keep") is None
    assert "screens.json" in measuring.words
    assert not harbor.window.metrics.measured


def test_where_nothing_can_be_kept_nobody_is_led_to_measuring() -> None:
    leaving = Leaving(Scene(), lambda: None)
    show(leaving, Metrics.of((800, 480)))
    assert [button.name for button in leaving.buttons.all] == ["out", "stay"]


def test_the_command_fills_the_screen_and_says_what_came_of_it(tmp_path, monkeypatch, capsys) -> None:
    from trainer.commands.cli import main

    monkeypatch.setattr(sdl, "display", lambda _: DESKTOP)
    answers = iter(["back", "keep", "forget"])

    def run(window: Window) -> None:
        assert isinstance(window.scene, Measuring)
        assert not window.scene.asks_before_leaving
        if (name := next(answers)) == "keep":
            window.scene._set(3.5)
        press(window.scene, name)
        assert not window.open
        window.close()

    monkeypatch.setattr(trials.Window, "run", run)
    for source, px in (("system", "3.65"), ("card", "3.50"), ("system", "3.65")):
        assert main(["measure", "--data", str(tmp_path)]) == 0
        assert capsys.readouterr().out.strip() == text(f"cli.measure.{source}", px=px)


def test_a_file_that_cannot_be_written_is_one_sentence(tmp_path: Path) -> None:
    (tmp_path / "screens.json").mkdir()
    with pytest.raises(PlaceError, match="the size of the screen cannot be written"):
        TrueSizes(tmp_path / "screens.json", lambda _: DESKTOP).keep(0, 3.0)
