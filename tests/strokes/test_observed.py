"""What ink does is seen without the checks: each observation on ink with one known way of writing."""

from __future__ import annotations

import numpy as np
import pytest

from strokes import Finding, Ink, Kind, check
from strokes.evaluation.observed import Observation, observe
from strokes.evaluation.trace_shape import (
    TraceShape,
    anticlockwise,
    letter_shape,
    turning_points,
    x_height,
)
from strokes.polyline import Polyline
from strokes.simulation.hand import write
from tests.cases import for_each
from tests.shipped import PRINT as ALPHABET


def lines(ink: Ink) -> list[Polyline]:
    return [trace.points for trace in ink.traces]


def taught(letter: str) -> list[Polyline]:
    return lines(write(ALPHABET[letter], seed=1, tremor=0.01))


def observed(letter: str, traces: list[Polyline]) -> dict[Kind, Observation]:
    return {observation.kind: observation for observation in observe(letter, traces)}


@pytest.mark.parametrize("letter", "ocadgq")
def test_a_main_loop_has_a_sense(letter: str) -> None:
    ink = taught(letter)

    assert not observed(letter, ink)[Kind.DIRECTION].wrong
    assert observed(letter, [line * (-1.0, 1.0) for line in ink])[Kind.DIRECTION].wrong


def test_a_large_tail_does_not_hide_the_sense_of_a_small_bowl() -> None:
    """A g's tail is closed the other way round by the line that an area needs."""
    turn = np.linspace(0.3, 2 * np.pi - 0.1, 40)
    bowl = np.column_stack([0.15 * np.cos(turn), -0.8 - 0.2 * np.sin(turn)])
    tail = np.array([[0.17, -0.5], [0.18, 0.6], [0.0, 1.0], [-0.3, 0.8], [0.2, 0.1]])

    assert not observed("g", [np.vstack([bowl, tail])])[Kind.DIRECTION].wrong


def test_the_curved_tail_of_a_9_is_not_its_loop() -> None:
    """Closed by the line that an area needs it encloses more than the ring, the other way round."""
    turn = np.linspace(0.2, 2 * np.pi, 40)
    ring = np.column_stack([0.3 * np.sin(turn) + 0.3, -1.7 - 0.3 * np.cos(turn)]) * (-1.0, 1.0)
    tail = np.array([[0.0, -1.7], [0.05, -0.4], [0.0, 0.0], [-1.4, -0.1]])

    assert not observed("9", [ring, tail])[Kind.DIRECTION].wrong
    assert observed("9", [ring[::-1], tail])[Kind.DIRECTION].wrong


def test_a_stem_before_the_bowl_is_not_the_main_loop() -> None:
    """A d whose stem came first, run round clockwise after it."""
    turn = np.linspace(np.pi / 2, 2.4 * np.pi, 40)
    clockwise = np.column_stack([-0.4 + 0.4 * np.cos(turn), -0.5 + 0.5 * np.sin(turn)])
    stem = np.array([[0.0, -2.0], [0.0, 0.0]])

    assert observed("d", [np.vstack([stem, clockwise])])[Kind.DIRECTION].wrong


def test_the_bowl_of_a_q_after_its_stem_is_the_main_loop() -> None:
    """Down to the descender line, back up, and anticlockwise round: only its order is wrong."""
    turn = np.linspace(0.2, 2.0 * np.pi - 0.3, 40)
    bowl = np.column_stack([-0.4 + 0.4 * np.cos(turn), -0.5 - 0.5 * np.sin(turn)])
    ink = np.vstack([[(0.0, -1.0), (0.0, 1.0), (0.0, -0.4)], bowl])

    assert not observed("q", [ink])[Kind.DIRECTION].skipped
    assert not observed("q", [ink])[Kind.DIRECTION].wrong
    assert observed("q", [np.vstack([ink[:3], bowl[::-1]])])[Kind.DIRECTION].wrong


def test_a_line_has_no_sense() -> None:
    line = np.column_stack([np.zeros(20), np.linspace(-1, 0, 20)])

    assert observed("o", [line])[Kind.DIRECTION].skipped


@pytest.mark.parametrize("letter", "tilhbkp")
def test_a_stem_begun_at_its_top_is_right(letter: str) -> None:
    start = observed(letter, taught(letter))[Kind.START]

    assert not start.skipped
    assert not start.wrong


@pytest.mark.parametrize("letter", "tilkp")
def test_a_stem_begun_at_its_foot_is_wrong(letter: str) -> None:
    stem, *rest = lines(write(ALPHABET[letter].formations[-1 if letter == "p" else 0], seed=1, tremor=0.01))

    start = observed(letter, [stem[::-1], *rest])[Kind.START]

    assert not start.skipped
    assert start.wrong


def test_a_rise_before_the_stem_is_no_stem_begun_at_its_foot() -> None:
    up_and_down = np.array([[0.0, 0.0], [0.0, -1.0], [0.0, -2.0], [0.0, -1.0], [0.0, 0.0]])

    assert observed("l", [up_and_down])[Kind.START].skipped == "a rise before the stem"


@pytest.mark.parametrize("letter", "tfij")
def test_what_came_first_is_seen(letter: str) -> None:
    ink = taught(letter)

    assert not observed(letter, ink)[Kind.ORDER].wrong
    assert observed(letter, ink[::-1])[Kind.ORDER].wrong
    assert observed(letter, ink[:1])[Kind.ORDER].skipped


@for_each("letter", "emnrsuvwxyz")
def test_letters_without_these_parts_are_not_observed(letter: str) -> None:
    assert observe(letter, taught(letter)) == ()


@for_each("letter", "abcdfghijklopqt")
def test_the_check_agrees_about_a_steady_hand(letter: str) -> None:
    report = check(write(ALPHABET[letter], seed=1), ALPHABET[letter])

    assert all(observation.agrees(report.findings) for observation in observe(letter, taught(letter)))


def test_a_finding_about_something_else_is_no_disagreement() -> None:
    loop, stem = Observation(Kind.DIRECTION), Observation(Kind.START)
    tail = Finding(Kind.DIRECTION, 1, 0.5, stroke=0, part=(0.6, 1.0))
    bowl = Finding(Kind.DIRECTION, 1, 0.5, stroke=0, part=(0.0, 0.4))
    bar = Finding(Kind.START, 1, 0.45, stroke=1)

    assert loop.agrees([tail, bar])
    assert not loop.agrees([bowl])
    assert stem.agrees([bar, tail])
    assert not stem.agrees([bowl])
    assert not stem.agrees([Finding(Kind.START, 1, 0.45, stroke=0)])


def test_the_place_that_was_looked_at_is_all_that_an_order_is_asked_for() -> None:
    """Whether the stem of an F came first, whatever the order of its bars; another stroke's direction."""
    stem_first, bar_last = Observation(Kind.ORDER, place=0), Observation(Kind.ORDER, place=-1)
    bars_swapped = Finding(Kind.ORDER, 1, 0, order=(0, 2, 1))

    assert stem_first.agrees([bars_swapped])
    assert not bar_last.agrees([bars_swapped])
    assert not stem_first.agrees([Finding(Kind.ORDER, 1, 0, order=(1, 0, 2))])
    assert not stem_first.agrees([Finding(Kind.ORDER, 1, 0, note=True)])
    assert Observation(Kind.DIRECTION).agrees([Finding(Kind.DIRECTION, 1, 0.5, stroke=1, part=(0.0, 1.0))])


def test_a_note_tells_it_too() -> None:
    bar_first = Observation(Kind.ORDER, wrong=True)

    assert bar_first.agrees([Finding(Kind.ORDER, 1, 0, note=True)])
    assert not bar_first.agrees([])


@pytest.mark.parametrize(
    ("letter", "tall"), [("a", 1), ("b", 2), ("g", 2), ("t", 1.5), ("x", 1), ("i", 1), ("j", 2)]
)
def test_the_x_height_is_estimated_from_the_class_of_the_letter(letter: str, tall: float) -> None:
    """The dot of i and j is no part of the height."""
    body = np.array([[0.0, 0.0], [1.0, 30.0 * tall]])
    dot = np.array([[0.0, -20.0], [0.5, -20.0]])

    assert x_height(letter, [body, dot] if letter in "ij" else [body]) == pytest.approx(30)


def test_a_dot_has_some_x_height() -> None:
    assert x_height("o", [np.array([[5.0, 5.0]])]) == 1.0


def test_segments_up_and_down_are_named_and_tremor_is_not() -> None:
    across = np.linspace(0, 1, 7)
    up_and_down = np.array([-1.0, 0.0, -0.95, -1.0, -0.9, -1.0, 0.0])

    shape = TraceShape(np.column_stack([across, up_and_down]))

    assert shape.directions == "DUD"
    assert shape.extrema[:, 1].tolist() == [-1.0, 0.0, -1.0, 0.0]
    assert shape.sideways() == "R"


def test_a_short_lead_in_is_no_segment() -> None:
    led = TraceShape(np.array([[0.0, -0.7], [0.0, -1.0], [0.0, 0.0]]))
    far = TraceShape(np.array([[0.0, -0.6], [0.0, -1.0], [0.0, 0.0]]))

    assert (led.directions, far.directions) == ("D", "UD")


@pytest.mark.parametrize(
    ("values", "turns"),
    [
        ([0.0], (0, 0)),
        ([0.0, 0.1, 0.0], (0, 2)),
        ([0.0, 1.0], (0, 1)),
        ([0.1, 0.0, 1.0, 0.9, 0.5], (1, 2, 4)),
        ([1.0, 0.0, 1.0], (0, 1, 2)),
    ],
)
def test_turns_of_values(values: list[float], turns: tuple[int, ...]) -> None:
    assert turning_points(np.array(values), 0.2) == turns


def test_the_sense_of_a_circle() -> None:
    """A circle fills a quarter of pi of its box; with y downward an anticlockwise one has a negative area."""
    turn = np.linspace(0, 2 * np.pi, 200)
    circle = np.column_stack([np.cos(turn), -np.sin(turn)])

    assert anticlockwise(circle) == pytest.approx(np.pi / 4, abs=1e-3)
    assert anticlockwise(circle[::-1]) == pytest.approx(-np.pi / 4, abs=1e-3)
    assert anticlockwise(np.zeros((3, 2))) == 0.0


def test_slips_of_the_hand_are_left_out_but_not_dots() -> None:
    slip = np.array([[0.0, -0.5], [0.0, -0.45]])

    assert len(letter_shape("l", [*taught("l"), slip]).traces) == 1
    assert len(letter_shape("i", [*taught("i")[:1], slip]).traces) == 2
