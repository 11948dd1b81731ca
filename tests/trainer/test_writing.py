"""Writing as a child does it: near the edge, with a pen that rests and trembles, and from memory."""

from __future__ import annotations

import numpy as np
import pytest

from strokes.ink import Ink
from strokes.kinds import Kind
from strokes.letter import Hand
from strokes.simulation.hand import Fault
from strokes.simulation.hand import write as by_hand
from tests.cases import for_each
from tests.recording import RecordingCanvas
from tests.trainer.sessions import ALPHABET, Memory, open_session, press, shown, write
from trainer.attempt import Step
from trainer.drawing import theme
from trainer.drawing.theme import Metrics
from trainer.language.spoken import recalled
from trainer.language.texts import text
from trainer.practice.scenes.answer import Answer
from trainer.practice.scenes.inking import BESIDE_MM
from trainer.practice.scenes.writing import Writing
from trainer.window.events import KeyEvent, PointerEvent
from trainer.window.scenes.scene import Mark

SIZES = [(1280, 800), (800, 480), (480, 800)]


def paper(letter: str, step: Step, size: tuple[int, int] = (1280, 800), hand: Hand | None = None) -> Writing:
    navigation, _ = open_session(Memory(hand=hand), letter=letter)
    screen = shown(Writing(navigation, step), size)
    assert isinstance(screen, Writing)
    return screen


# Near the edge


@for_each("size", SIZES)
@for_each("step", [Step.TRACE, Step.COPY, Step.RECALL])
@for_each("hand", ["left", "right"])
def test_a_touch_that_begins_a_little_outside_the_paper_writes(
    size: tuple[int, int], step: Step, hand: Hand
) -> None:
    near = 0.9 * Metrics.of(size).mm(BESIDE_MM)
    for side in ("top", "bottom", "left", "right"):
        screen = paper("l", step, size, hand)
        rect = screen.box.rect
        x, y = rect.center
        x = {"left": rect.left - near, "right": rect.right + near}.get(side, x)
        y = {"top": rect.top - near, "bottom": rect.bottom + near}.get(side, y)
        taken = any(button.rect.contains(x, y) for button in screen.buttons.all)
        model = screen.model is not None and screen.model.rect.contains(x, y)

        screen.on_pointer(PointerEvent("down", x, y, 0.0))

        assert screen.pad.writing is not (taken or model), side
        assert screen.wants(x, y) is not model, side


def test_a_touch_far_outside_the_paper_is_none() -> None:
    screen = paper("l", Step.TRACE)
    x, y = screen.box.rect.center
    y = screen.box.rect.top - 1.2 * screen.metrics.mm(BESIDE_MM)

    screen.on_pointer(PointerEvent("down", x, y, 0.0))

    assert not screen.wants(x, y)
    assert not screen.pad.writing


# A pen that rests


def rest_in(screen: Writing, ink: Ink, at: float, seed: int) -> None:
    """Write ink, and rest for 3 s in the first trace at a share of it: the pen trembles by one pixel."""
    random = np.random.default_rng(seed)
    for index, trace in enumerate(ink.traces):
        points = [(float(x), float(y)) for x, y in screen.box.transform.apply(trace.points)]
        here = round(at * (len(points) - 1)) if index == 0 else None
        clock, action = 10.0 * index, "down"
        for number, (x, y) in enumerate(points):
            trembling = [(0.0, 0.0)]
            if number == here:
                trembling += [(float(a), float(b)) for a, b in random.integers(-1, 2, (180, 2))]
            for dx, dy in trembling:
                screen.on_pointer(PointerEvent(action, x + dx, y + dy, clock))  # type: ignore[arg-type]
                clock, action = clock + 1 / 60, "move"
        screen.on_pointer(PointerEvent("up", x + dx, y + dy, clock))


@for_each("size", SIZES)
@for_each("at", [0.0, 0.5, 1.0])
@for_each("letter", ["i", "l"])
@for_each("step", [Step.TRACE, Step.COPY, Step.RECALL])
def test_a_pen_that_rests_is_no_fault(letter: str, at: float, size: tuple[int, int], step: Step) -> None:
    """Each size has another hand."""
    seed = SIZES.index(size)
    screen = paper(letter, step, size)
    rest_in(screen, by_hand(ALPHABET[letter], seed=seed), at, seed)
    assert screen.hint is None

    answer = press(screen, "done")

    assert isinstance(answer, Answer)
    assert answer.saying.is_praise, answer.saying


def test_a_pen_that_rests_adds_no_ink_and_its_time_goes_on() -> None:
    screen = paper("l", Step.COPY)
    x, y = screen.box.rect.center
    screen.on_pointer(PointerEvent("down", x, y, 0.0))
    for frame in range(1, 181):
        screen.on_pointer(PointerEvent("move", x + frame % 2, y, frame / 60))
    assert screen.pad.live == [(x, y)]
    screen.on_pointer(PointerEvent("move", x, y + 40, 3.1))
    screen.on_pointer(PointerEvent("up", x, y + 41, 3.2))

    (trace,) = screen.pad.ink.traces
    assert trace.times is not None
    assert trace.times.tolist() == pytest.approx([0.0, 3.1, 3.2])
    end = screen.box.transform.apply(trace.points)[-1]
    assert end == pytest.approx((x, y + 41))  # where it lifted is kept exactly


# What has stepped back


def marks_of(screen: Writing) -> list[tuple[str, float]]:
    return [(mark.color, round(mark.width / screen.box.pen, 3)) for mark in screen.ink]


@pytest.mark.parametrize("step", [Step.TRACE, Step.COPY, Step.RECALL])
def test_ink_that_was_written_again_steps_back_until_that_is_taken_back(step: Step) -> None:
    """It lies under the rest, thin and pale, keeps so in another size, and comes back whole."""
    screen = paper("t", step)
    wrong, right = by_hand(ALPHABET["t"], fault=Fault(Kind.DIRECTION)), by_hand(ALPHABET["t"])
    write(screen, wrong, traces=1)
    assert marks_of(screen) == [(theme.BLUE, 1.0)]
    write(screen, right, traces=1)
    stepped = [(theme.STEPPED_BACK, 0.5), (theme.BLUE, 1.0)]
    assert marks_of(screen) == stepped
    assert len(screen.pad.ink) == 2

    shown(screen, (480, 800))
    assert marks_of(screen) == stepped
    pale: Mark = screen.ink[0]
    assert pale.points == pytest.approx(screen.box.transform.apply(screen.pad.ink.traces[0].points))

    screen.on_key(KeyEvent("backspace"))
    assert marks_of(screen) == [(theme.BLUE, 1.0)]
    write(screen, right, traces=1)
    assert marks_of(screen) == stepped
    press(screen, "clear")
    assert marks_of(screen) == []


# From memory


@for_each("letter", list(ALPHABET))
def test_recall_names_the_letter_and_does_not_show_it(letter: str) -> None:
    screen = paper(letter, Step.RECALL)
    canvas = RecordingCanvas()
    screen.draw(canvas)

    name = text(f"practice.names.{letter.lower()}")
    assert recalled(letter) in canvas.texts
    assert f"“{name}”" in screen.sentence
    assert len(name) > 1


def test_no_two_letters_have_one_name() -> None:
    assert len({recalled(letter) for letter in ALPHABET}) == len(list(ALPHABET))


def test_recall_says_whether_the_letter_is_small_a_capital_or_a_digit() -> None:
    assert recalled("b") == "Now write the small letter “bee” from memory."
    assert recalled("B") == "Now write the capital letter “bee” from memory."
    assert recalled("3") == "Now write the digit “three” from memory."


def test_a_letter_without_a_name_in_the_texts_is_still_asked_for() -> None:
    assert recalled("þ") == recalled(".") == text("practice.write.recall_unnamed")
