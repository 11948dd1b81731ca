"""Badges, the numbered starts, stand above the ink, whatever is written and in whatever order."""

from __future__ import annotations

import numpy as np
import pygame
import pygame.surfarray
import pytest

from strokes.kinds import Kind
from strokes.simulation.hand import Fault
from strokes.simulation.hand import write as by_hand
from tests.recording import RecordingCanvas
from tests.trainer.sessions import ALPHABET, open_session, press, shown, wait, write
from trainer.attempt import Step
from trainer.drawing import theme
from trainer.drawing.arrows import Ring
from trainer.drawing.theme import Metrics
from trainer.practice.scenes.screen import Screen
from trainer.practice.scenes.writing import Writing
from trainer.window.events import KeyEvent, PointerEvent
from trainer.window.page import Page
from trainer.window.scenes.scene import Mark, Scene, Tip

SIZE = (400, 300)
BADGE = Ring(1, (200.0, 150.0), 24.0, (200.0, 150.0))


class Glass:
    """What a child sees of a scene, frame by frame."""

    def __init__(self, scene: Scene, size: tuple[int, int] = SIZE) -> None:
        self.scene, self.page = scene, Page(size)
        self.screen = pygame.Surface(size, depth=32)

    def frame(self, seconds: float = 1 / 60) -> np.ndarray:
        changed = self.page.paint(self.scene, Metrics.of(self.page.size), seconds)
        self.page.show(self.screen, changed, self.scene.tip)
        return pygame.surfarray.array3d(self.screen).swapaxes(0, 1)


class Badged(Scene):
    def draw(self, canvas: object) -> None:  # noqa: ARG002
        self.badges = [BADGE]


def seen_at(pixels: np.ndarray, ring: Ring) -> np.ndarray:
    """The inside of a ring, its soft edge left out."""
    x, y = (round(place) for place in ring.center)
    reach = int(0.6 * ring.radius)
    return pixels[y - reach : y + reach, x - reach : x + reach]


def test_ink_that_runs_under_a_badge_leaves_it_as_it_was() -> None:
    """Point by point, at rest, and after the whole page was painted again."""
    scene = Badged()
    glass = Glass(scene)
    before = seen_at(glass.frame(), BADGE).copy()
    assert (before != theme.rgb(theme.PAPER)).any()  # the number
    mark = Mark(12.0, theme.BLUE)
    scene.marks = [mark]
    for x in range(100, 300, 7):
        mark.points.append((float(x), 150.0))
        after = glass.frame()
        assert (seen_at(after, BADGE) == before).all()
    assert tuple(after[150, 120]) == theme.rgb(theme.BLUE)

    assert (seen_at(glass.frame(1.0), BADGE) == before).all()
    scene.stale = True
    assert (seen_at(glass.frame(), BADGE) == before).all()


def test_a_frame_beside_a_badge_paints_the_same_as_a_whole_page() -> None:
    """The soft edge of a badge is mixed once, however often ink passes it."""
    scene = Badged()
    glass = Glass(scene)
    glass.frame()
    mark = Mark(12.0, theme.BLUE)
    scene.marks = [mark]
    for x in range(100, 300, 7):
        mark.points.append((float(x), 130.0))
        glass.frame()
    step_by_step = glass.frame(1.0).copy()

    scene.stale = True

    assert (glass.frame() == step_by_step).all()


def test_the_pens_tip_is_seen_over_a_badge_and_goes_again() -> None:
    scene = Badged()
    glass = Glass(scene)
    before = glass.frame().copy()
    scene.tip = Tip((200.0, 150.0), 8.0, theme.VERMILLION)
    assert tuple(glass.frame()[150, 200]) == theme.rgb(theme.VERMILLION)
    scene.tip = None
    assert (glass.frame() == before).all()


def test_ink_that_is_taken_back_leaves_the_badge() -> None:
    scene = Badged()
    glass = Glass(scene)
    before = glass.frame().copy()
    scene.marks = [Mark(12.0, theme.BLUE, [(100.0, 150.0), (300.0, 150.0)])]
    glass.frame()
    scene.marks = []
    assert (glass.frame() == before).all()


def touch(screen: Screen, x: float, y: float) -> None:
    screen.on_pointer(PointerEvent("down", x, y, 0.0))


def numbers(screen: Screen) -> list[int]:
    """The badges in the writing box, as the page would have them now."""
    if screen.stale:
        screen.draw(RecordingCanvas())
        screen.stale = False
    box = screen.box.rect  # type: ignore[attr-defined]
    return [ring.number for ring in screen.badges if box.contains(*ring.center)]


@pytest.mark.parametrize("step", [Step.TRACE, Step.COPY])
def test_a_ring_in_which_the_pen_comes_down_gives_way_to_the_ink(step: Step) -> None:
    navigation, _ = open_session(letter="t")
    screen = shown(Writing(navigation, step))
    assert isinstance(screen, Writing)
    assert numbers(screen) == [1, 2]
    first = screen.badges[0]

    touch(screen, *first.center)
    assert numbers(screen) == [2]
    screen.on_pointer(PointerEvent("cancel", *first.center, 0.1))  # a resting hand
    assert numbers(screen) == [1, 2]
    touch(screen, *first.center)
    screen.on_key(KeyEvent("backspace"))
    assert numbers(screen) == [1, 2]


@pytest.mark.parametrize("step", [Step.TRACE, Step.COPY])
def test_a_ring_stays_where_the_pen_comes_down_elsewhere_and_goes_with_its_stroke(step: Step) -> None:
    navigation, _ = open_session(letter="t")
    screen = shown(Writing(navigation, step))
    assert isinstance(screen, Writing)
    assert numbers(screen) == [1, 2]
    x, y = screen.badges[0].center
    touch(screen, x, y + 2.5 * screen.badges[0].radius)
    assert numbers(screen) == [1, 2]
    press(screen, "undo")

    ink = by_hand(ALPHABET["t"])
    write(screen, ink, traces=1)
    assert numbers(screen) == [2]
    press(screen, "undo")
    assert numbers(screen) == [1, 2]


def test_the_pen_that_shows_the_letter_writes_under_the_models_numbers() -> None:
    size = (1280, 800)
    navigation, _ = open_session(letter="t")
    screen = shown(Writing(navigation, Step.COPY), size)
    assert isinstance(screen, Writing)
    assert screen.model is not None
    glass = Glass(screen, size)
    before = glass.frame().copy()
    rings = screen.model.starts(screen.formation)
    press(screen, "show")

    for _ in range(12):
        wait(screen, 0.25)
        after = glass.frame()
        tip = screen.tip
        for ring in rings:
            if tip is None or not ring.holds(tip.center):
                assert (seen_at(after, ring) == seen_at(before, ring)).all()


def test_what_is_shown_again_stands_over_the_ink_after_the_page_is_painted_again_too() -> None:
    size = (1280, 800)
    navigation, _ = open_session(letter="l")
    screen = shown(Writing(navigation, Step.COPY), size)
    assert isinstance(screen, Writing)
    glass = Glass(screen, size)
    glass.frame()
    write(screen, by_hand(ALPHABET["l"], fault=Fault(Kind.DIRECTION)))
    for _ in range(180):
        screen.on_tick(1 / 60)
        glass.frame()
    (shown_again,) = (mark for mark in screen.marks if mark.color == theme.BLACK)
    x, y = (round(place) for place in shown_again.points[len(shown_again.points) // 2])
    assert tuple(glass.frame(1.0)[y, x]) == theme.rgb(theme.BLACK)

    screen.stale = True

    assert tuple(glass.frame()[y, x]) == theme.rgb(theme.BLACK)


def test_where_nothing_may_move_the_stroke_and_its_arrows_lie_on_the_ink() -> None:
    """Under it they would not be seen: she wrote the line where it belongs, only the other way."""
    size = (1280, 800)
    navigation, _ = open_session(letter="l", motion=False)
    screen = shown(Writing(navigation, Step.COPY), size)
    assert isinstance(screen, Writing)
    glass = Glass(screen, size)
    glass.frame()
    write(screen, by_hand(ALPHABET["l"], fault=Fault(Kind.DIRECTION)))
    pixels = glass.frame(1.0)

    stroke, *arrows = screen.marks[1:]
    assert stroke.color == theme.BLACK
    assert arrows
    for mark in arrows:
        (_, left), (x, tip), (_, right) = mark.points
        assert tip > max(left, right)  # the line goes down
        assert tuple(pixels[round(tip), round(x)]) != theme.rgb(theme.BLUE)
    before = [mark.points for mark in screen.marks]
    wait(screen, 2)
    assert [mark.points for mark in screen.marks] == before

    write(screen, by_hand(ALPHABET["l"]))
    assert theme.BLACK not in {mark.color for mark in screen.marks}
