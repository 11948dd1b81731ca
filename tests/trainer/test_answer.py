"""The picture of an answer: what she wrote and how it goes, for a child who cannot read the sentence."""

from __future__ import annotations

from itertools import pairwise

import numpy as np
import pytest

from strokes.ink import Ink, Trace
from strokes.kinds import Kind
from strokes.simulation.hand import Fault
from strokes.simulation.hand import write as by_hand
from tests.recording import RecordingCanvas
from tests.trainer.sessions import ALPHABET, NOW, Memory, finished, open_session, press, shown, wait, write
from trainer.attempt import Step
from trainer.drawing import theme
from trainer.language.texts import text
from trainer.practice.scenes.answer import BEFORE, TIMES, Answer
from trainer.practice.scenes.writing import Writing
from trainer.window.scenes.model_pen import LONGEST, as_written
from trainer.window.scenes.scene import Scene

SIZES = [(1280, 800), (800, 480), (480, 800)]


def answered(ink: Ink, letter: str, *, motion: bool = True, size: tuple[int, int] = (1280, 800)) -> Answer:
    navigation, _ = open_session(letter=letter, motion=motion)
    return answer_screen(finished(navigation, ink, Step.COPY), size)


def answer_screen(scene: Scene | None, size: tuple[int, int] = (1280, 800)) -> Answer:
    assert isinstance(scene, Answer)
    shown(scene, size)
    scene.draw(RecordingCanvas(size))
    return scene


def upward(letter: str = "l") -> Ink:
    """The letter with its first stroke from its end to its start."""
    return by_hand(ALPHABET[letter], fault=Fault(Kind.DIRECTION))


def written_points(screen: Answer, color: str) -> int:
    return sum(len(mark.points) for mark in screen.marks if mark.color == color)


def test_her_stroke_and_then_the_models_are_written_twice_before_anything_waits() -> None:
    screen = answered(upward(), "l")
    seen_so_far = []
    for _ in range(40 * 60):
        screen.on_tick(1 / 60)
        now = (written_points(screen, theme.BLUE), written_points(screen, theme.BLACK))
        if not seen_so_far or now != seen_so_far[-1]:
            seen_so_far.append(now)
        if screen.pens is None:
            break
    moving = seen_so_far[:-1]
    begun_again = [b for a, b in pairwise(moving) if b < a]

    assert screen.pens is None
    assert len(begun_again) == TIMES - 1
    hers = max(blue for blue, _ in moving)
    assert all(blue == hers for blue, black in moving if black > 1)  # hers first, then the model's
    assert hers == len(screen.own.traces[0].points)


def test_her_stroke_moves_as_she_wrote_it() -> None:
    """She waited in the middle of the line, and so does the picture."""
    points = ALPHABET["l"].taught.strokes[0].path
    line = np.linspace(points[-1], points[0], 21)
    times = np.concatenate([np.linspace(0.0, 0.5, 11), np.linspace(2.0, 2.5, 10)])
    screen = answered(Ink.from_arrays([line], times=[times]), "l")

    wait(screen, BEFORE + 0.55)
    before = written_points(screen, theme.BLUE)
    wait(screen, 1.3)

    assert before == written_points(screen, theme.BLUE) == 11
    wait(screen, 1.0)
    assert written_points(screen, theme.BLUE) == 21


def test_slow_ink_is_shown_faster_and_ink_without_times_at_an_even_pace() -> None:
    slow = Trace(np.array([[0.0, 0.0], [0.0, -1.0], [0.0, -2.0]]), np.array([3.0, 23.0, 33.0]))
    (_, times), *_ = as_written(Ink((slow,)))
    assert times.tolist() == pytest.approx([0.0, LONGEST * 2 / 3, LONGEST])

    (_, even), (_, second) = as_written(Ink.from_arrays([slow.points, [[0.5, -1.0]]]))
    assert np.diff(even) == pytest.approx(even[1])
    assert even[-1] < second[0] <= LONGEST


@pytest.mark.parametrize("size", SIZES)
def test_where_nothing_may_move_both_stand_there_with_their_starts_and_arrows(size: tuple[int, int]) -> None:
    screen = answered(upward(), "l", motion=False, size=size)
    hers, models = screen.badges
    assert screen.model is not None

    assert screen.pens is None
    assert (hers.color, models.color) == (theme.BLUE, theme.VERMILLION)
    assert hers.start == pytest.approx(screen.box.transform.apply(screen.own.traces[0].points[:1])[0])
    path = ALPHABET["l"].taught.strokes[0].path
    assert models.start == pytest.approx(screen.model.transform.apply(path[:1])[0])
    arrows = [mark for mark in screen.marks if mark.color == theme.PAPER]
    assert arrows
    for mark in arrows:
        (_, left), (_, tip), (_, right) = mark.points
        assert tip < min(left, right)  # she wrote upward
    before = list(screen.marks)
    wait(screen, 5)
    assert screen.marks == before


def test_after_the_pens_the_still_picture_stays() -> None:
    moved, still = answered(upward("h"), "h"), answered(upward("h"), "h", motion=False)
    wait(moved, 60)

    assert [mark.points for mark in moved.marks] == [mark.points for mark in still.marks]
    assert moved.stale
    assert moved.tip is None


@pytest.mark.parametrize("seconds", [0.1, 1.2, 2.9, 5.0])
def test_the_picture_may_be_left_at_any_time(seconds: float) -> None:
    screen = answered(upward(), "l")
    wait(screen, seconds)

    assert isinstance(press(screen, "again"), Writing)


@pytest.mark.parametrize("seconds", [0.1, 1.2, 2.9, 60.0])
def test_another_size_in_between_goes_on_where_it_was(seconds: float) -> None:
    screen = answered(upward(), "l")
    wait(screen, seconds)
    before = written_points(screen, theme.BLUE), written_points(screen, theme.BLACK)

    answer_screen(screen, (480, 800))

    if screen.pens is not None:
        assert (written_points(screen, theme.BLUE), written_points(screen, theme.BLACK)) == before
    for mark in screen.marks:
        box = screen.box if mark.color in (theme.BLUE, theme.PAPER) else screen.model
        assert box is not None
        assert all(box.rect.contains(x, y) for x, y in mark.points)


def test_the_traces_that_are_not_spoken_of_stand_there_all_the_time() -> None:
    """The bar of the t is not what went wrong in its stem."""
    ink = by_hand(ALPHABET["t"], fault=Fault(Kind.DIRECTION))
    screen = answered(ink, "t")
    assert screen.saying.trace == 0

    for seconds in (0.1, 1.5, 3.0):
        wait(screen, seconds)
        (other,) = screen.others
        assert other in screen.marks
        assert len(other.points) == len(ink.traces[1])


def test_where_all_of_it_is_meant_her_starts_are_numbered_as_she_wrote_them() -> None:
    """A k from its lower arm on, written for a t."""
    ink = by_hand(ALPHABET["k"])
    screen = answered(ink, "t", motion=False)
    assert screen.saying.trace is None

    numbers = [ring.number for ring in screen.badges if ring.color == theme.BLUE]

    assert numbers == list(range(1, len(ink) + 1))


def test_what_stepped_back_is_thin_and_pale_in_the_answer_too() -> None:
    navigation, _ = open_session(letter="l")
    writing = shown(Writing(navigation, Step.COPY))
    write(writing, upward())
    write(writing, by_hand(ALPHABET["l"]))

    screen = answer_screen(press(writing, "done"))

    back, stands = screen.marks
    assert (back.color, stands.color) == (theme.STEPPED_BACK, theme.BLUE)
    assert back.width < stands.width


def test_the_mark_beside_the_sentence_is_neither_a_prize_nor_a_target() -> None:
    screen = answered(upward(), "l")
    canvas = RecordingCanvas()
    screen.draw(canvas)

    assert not canvas.named("ring")
    assert {disc.given["color"] for disc in canvas.named("disc")} <= {theme.TEXT, theme.GUIDE}


def test_praise_shows_the_letter_and_nothing_moves() -> None:
    screen = answered(by_hand(ALPHABET["l"]), "l")
    before = list(screen.marks)
    wait(screen, 3)

    assert screen.saying.is_praise
    assert screen.marks == before
    assert not screen.badges


def test_going_on_is_the_main_button_after_a_letter_that_is_well_formed_or_was_mended() -> None:
    assert main_of(answered(by_hand(ALPHABET["l"]), "l")) == "on"
    assert main_of(answered(upward(), "l")) == "again"

    navigation, _ = open_session(letter="l")
    writing = shown(Writing(navigation, Step.COPY))
    write(writing, upward())
    write(writing, by_hand(ALPHABET["l"]))
    mended = answer_screen(press(writing, "done"))
    assert mended.saying.sentence == text("practice.praise.mended")
    assert main_of(mended) == "on"
    after = press(mended, "on")
    assert isinstance(after, Writing)
    assert after.step is Step.RECALL


def main_of(screen: Answer) -> str:
    return next(button.name for button in screen.buttons.all if button.main)


def test_what_could_not_be_judged_is_not_praised() -> None:
    navigation, _ = open_session(letter="l")
    screen = answer_screen(navigation.finish(upward(), NOW, Step.COPY, None))
    canvas = RecordingCanvas()
    screen.draw(canvas)

    assert text("practice.answer.kept") in canvas.texts
    assert theme.GREEN not in {disc.given["color"] for disc in canvas.named("disc")}
    assert main_of(screen) == "again"


@pytest.mark.parametrize("hand", ["left", "right"])
def test_her_stroke_stands_on_the_side_of_her_hand_as_while_she_wrote(hand: str) -> None:
    navigation, _ = open_session(Memory(hand=hand), letter="l")  # type: ignore[arg-type]
    screen = answer_screen(finished(navigation, upward(), Step.COPY))
    assert screen.model is not None

    assert (screen.box.rect.left < screen.model.rect.left) is (hand == "left")
