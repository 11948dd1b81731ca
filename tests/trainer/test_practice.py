"""The practice window as a whole, on a real record, driven by pygame events under SDL's dummy driver."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pygame
import pytest

from strokes import Ink
from strokes.kinds import Kind
from strokes.simulation.hand import Fault, write
from strokes.tolerances import Tolerances
from tests.trainer.sessions import ALPHABET
from trainer.attempt import Step
from trainer.practice.opening import open_window
from trainer.practice.scenes.answer import Answer
from trainer.practice.scenes.cards import Cards
from trainer.practice.scenes.letters import Letters
from trainer.practice.scenes.screen import Screen
from trainer.practice.scenes.watching import Watching
from trainer.practice.scenes.writing import Writing
from trainer.record.record import Record
from trainer.teaching.rules import Rules
from trainer.window.window import Window

FRAME = 1 / 60


class Child:
    """Points at things in the window, with a mouse or a finger."""

    def __init__(self, window: Window, *, touch: bool = False) -> None:
        self.window = window
        self.touch = touch

    @property
    def screen(self) -> Screen:
        assert isinstance(self.window.scene, Screen)
        return self.window.scene

    def point(self, action: str, x: float, y: float) -> None:
        width, height = self.window.size
        if self.touch:
            kinds = {"down": pygame.FINGERDOWN, "move": pygame.FINGERMOTION, "up": pygame.FINGERUP}
            given = {"touch_id": 1, "finger_id": 7, "x": x / width, "y": y / height, "dx": 0.0, "dy": 0.0}
            event = pygame.event.Event(kinds[action], given)
        else:
            mouse = {
                "down": pygame.MOUSEBUTTONDOWN,
                "move": pygame.MOUSEMOTION,
                "up": pygame.MOUSEBUTTONUP,
            }
            held = {"buttons": (1, 0, 0), "rel": (1, 1)} if action == "move" else {"button": 1}
            event = pygame.event.Event(mouse[action], {"pos": (round(x), round(y)), "touch": False, **held})
        self.window.step([event], FRAME)

    def press(self, name: str) -> None:
        self.wait(0.8)  # a finger's echo is shut out for a moment
        x, y = next(button for button in self.screen.buttons.all if button.name == name).rect.center
        self.point("down", x, y)
        self.point("up", x, y)
        self.window.step([], FRAME)

    def write(self, ink: Ink) -> None:
        assert isinstance(self.screen, Writing)
        for trace in ink.transformed(self.screen.box.transform).traces:
            self.point("down", *trace.points[0])
            for x, y in trace.points[1:]:
                self.point("move", x, y)
            self.point("up", *trace.points[-1])

    def wait(self, seconds: float) -> None:
        for _ in range(round(seconds / FRAME)):
            self.window.step([], FRAME)


@pytest.fixture
def record(tmp_path: Path) -> Iterator[Record]:
    with Record.open(tmp_path / "harbor.sqlite") as opened:
        yield opened


@pytest.fixture
def window_of(record: Record) -> Iterator[object]:
    windows = []

    def make(**options: object) -> Window:
        window, _ = open_window(record, ALPHABET, size=(1280, 800), **options)  # type: ignore[arg-type]
        windows.append(window)
        window.step([], FRAME)
        return window

    yield make
    for window in windows:
        window.close()


def writing_a_t(record: Record, window_of) -> tuple[Window, Child]:
    """A child who has chosen her card and the letter t, and has the paper before her."""
    record.pupils.add("Nella")
    window = window_of()
    child = Child(window)
    for name in ("card 0", "all", "letter t", "go"):
        child.press(name)
    return window, child


@pytest.mark.parametrize(
    ("rules", "typed", "moves", "seconds"),
    [
        (Rules(), True, True, 600.0),
        (Rules(), False, False, 600.0),
        (Rules(motion=False, minutes=5, stage="fluent"), True, False, 300.0),
    ],
)
def test_the_window_goes_by_the_teacher_s_rules(record, rules, typed, moves, seconds):
    """What she set counts; `--still` can only make the window calmer."""
    rules.keep(record.settings)
    window, session = open_window(record, ALPHABET, size=(480, 320), motion=typed)
    window.close()

    assert (session.motion, session.rest_after) == (moves, seconds)
    assert session.tolerances == Tolerances.of(rules.stage)


@pytest.mark.parametrize(("name", "touch"), [("b", False), ("t", True)], ids=["mouse", "finger"])
def test_a_child_takes_a_letter_from_watching_to_memory(record, window_of, name, touch):
    """Watch, trace twice, copy twice, recall twice, and on to the next letter; all of it is in the record."""
    nella = record.pupils.add("Nella")
    record.plans.set(nella.group, [name, "l"])
    child = Child(window_of(), touch=touch)
    assert isinstance(child.screen, Cards)

    child.press("card 0")
    assert isinstance(child.screen, Letters)
    child.press("go")
    assert isinstance(child.screen, Watching)
    child.wait(3)
    child.press("go")
    for number, step in enumerate((Step.TRACE, Step.COPY, Step.RECALL)):
        for turn, button in enumerate(("again", "on")):
            assert isinstance(child.screen, Writing)
            assert child.screen.step is step
            child.write(write(ALPHABET[name], seed=10 * number + turn))
            child.wait(2)
            assert isinstance(child.screen, Answer)
            main = next(button.name for button in child.screen.buttons.all if button.main)
            assert main == "on"
            child.press(button)

    assert isinstance(child.screen, Watching)
    attempts = list(record.attempts.find(nella.id))
    assert [attempt.step for attempt in attempts] == [
        step for step in (Step.TRACE, Step.COPY, Step.RECALL) for _ in range(2)
    ]
    assert all(attempt.finished and attempt.verdict and attempt.verdict.formed for attempt in attempts)
    assert all(attempt.letter == name for attempt in attempts)
    assert all(len(attempt.ink) == len(ALPHABET[name].taught.strokes) for attempt in attempts)


def test_ink_is_kept_in_letter_space_with_its_times(record, window_of):
    """What is in the record is what was written, to a pixel's width."""
    record.pupils.add("Nella")
    child = Child(window_of())
    child.press("card 0")
    child.press("letter l")
    child.press("go")
    written = write(ALPHABET["l"])
    child.write(written)
    assert isinstance(child.screen, Writing)
    pixel = 1 / child.screen.box.unit
    child.press("done")

    (attempt,) = record.attempts.find()
    trace = attempt.ink.traces[0]

    assert trace.points[0] == pytest.approx(written.traces[0].points[0], abs=pixel)
    assert trace.points[-1] == pytest.approx(written.traces[0].points[-1], abs=pixel)
    assert trace.times is not None
    assert trace.times[0] == 0.0


def test_a_stroke_written_upwards_is_shown_again_and_told_in_the_answer(record, window_of):
    record.pupils.add("Nella")
    child = Child(window_of())
    child.press("card 0")
    child.press("letter l")
    child.press("go")
    child.write(write(ALPHABET["l"], fault=Fault(Kind.DIRECTION)))
    assert isinstance(child.screen, Writing)
    assert child.screen.hint is not None
    assert child.screen.tip is not None
    child.wait(8)

    assert isinstance(child.screen, Answer)
    assert child.screen.saying.kind is Kind.DIRECTION
    (attempt,) = record.attempts.find()
    assert attempt.verdict is not None
    assert attempt.verdict.findings[0].kind is Kind.DIRECTION


def test_closing_the_window_within_a_letter_leaves_its_strokes_in_the_record(record, window_of):
    window, child = writing_a_t(record, window_of)
    child.write(Ink(write(ALPHABET["t"]).traces[:1]))
    x, y = child.screen.box.rect.center  # type: ignore[attr-defined]
    child.point("down", x, y)
    child.point("move", x + 60, y)

    window.close()

    (attempt,) = record.attempts.find()
    assert (attempt.letter, attempt.finished, len(attempt.ink)) == ("t", False, 2)


def test_a_letter_left_and_begun_anew_are_two_attempts(record, window_of):
    """What was left is neither written over nor dropped, not even by taking back on the empty paper."""
    nella = record.pupils.add("Nella")
    record.plans.set(nella.group, ["t"])
    child = Child(window_of())
    child.press("card 0")
    for whole in (False, True):
        child.press("letter t")
        child.press("go")
        assert isinstance(child.screen, Writing)
        if whole:
            child.press("clear")
            child.write(write(ALPHABET["t"], seed=2))
            child.wait(2)
        else:
            child.write(Ink(write(ALPHABET["t"]).traces[:1]))
            child.press("leave")

    left, finished = sorted(record.attempts.find(), key=lambda attempt: attempt.finished)
    assert (left.letter, left.finished, len(left.ink)) == ("t", False, 1)
    assert (finished.letter, finished.finished, len(finished.ink)) == ("t", True, 2)


def test_a_guest_can_write_within_three_presses_and_is_in_the_record(record, window_of):
    child = Child(window_of())
    child.press("card 0")
    child.press("go")
    child.press("go")
    assert isinstance(child.screen, Writing)
    child.write(write(child.screen.session.letter))
    child.wait(2)

    assert [pupil.name for pupil in record.pupils.find()] == ["Guest"]
    assert len(list(record.attempts.find())) == 1


def test_ink_appears_where_the_pen_is(record, window_of):
    """The blue of the child's ink is on the page under the middle of the stroke."""
    record.pupils.add("Nella")
    window = window_of()
    child = Child(window)
    child.press("card 0")
    child.press("letter l")
    child.press("go")
    child.write(write(ALPHABET["l"]))
    child.wait(0.3)
    screen = child.screen
    assert isinstance(screen, Writing)
    points = screen.box.transform.apply(write(ALPHABET["l"]).traces[0].points)
    x, y = points[len(points) // 2]

    assert tuple(pygame.display.get_surface().get_at((round(x), round(y))))[:3] == (0x00, 0x72, 0xB2)


def test_the_window_can_change_its_size_within_a_letter(record, window_of):
    """Full screen and back in the middle of a letter: the ink stays and the letter can be finished."""
    window, child = writing_a_t(record, window_of)
    ink = write(ALPHABET["t"])
    child.write(Ink(ink.traces[:1]))
    window.step([pygame.event.Event(pygame.KEYDOWN, key=pygame.K_F11, mod=0, unicode="")], FRAME)
    child.write(Ink(ink.traces[1:]))
    child.wait(2)

    assert isinstance(child.screen, Answer)
    assert child.screen.saying.is_praise
