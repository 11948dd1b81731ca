"""Each damage does to well-formed ink what its name says, and is not counted where the table accepts it."""

from __future__ import annotations

from functools import cache

import numpy as np
import pytest

from strokes import Finding, Formation, Kind, check
from strokes.evaluation.accepted import TABLE, acceptable
from strokes.evaluation.damage import Damaged, faults
from strokes.ink import Ink
from strokes.polyline import Polyline, cut, length, resample
from strokes.simulation.hand import write
from tests.cases import for_each
from tests.shipped import PRINT as ALPHABET
from tests.shipped import SAMPLE_LETTERS


def lines(formation: Formation) -> tuple[Polyline, ...]:
    return tuple(trace.points for trace in write(formation, seed=1, tremor=0.01).traces)


def taught(letter: str) -> tuple[Polyline, ...]:
    return lines(ALPHABET[letter].taught)


def formed(letter: str, name: str) -> tuple[Polyline, ...]:
    return lines(next(formation for formation in ALPHABET[letter].formations if formation.name == name))


def damaged(letter: str, fault: str, traces: tuple[Polyline, ...] | None = None) -> Damaged:
    every = faults(letter, traces or taught(letter), ("v", taught("v")))
    return next(damaged for damaged in every if damaged.fault == fault)


@cache
def applied() -> list[tuple[str, Damaged]]:
    return [
        (letter, ink)
        for letter in TABLE
        for ink in faults(letter, taught(letter), ("m" if letter != "m" else "a", taught("m")))
        if not ink.skipped
    ]


def begun(ink: Damaged) -> float:
    """How far below the base line the pen came down, between the lines of the damaged ink."""
    assert ink.guide is not None
    return float(ink.guide.to_letter_space().apply(ink.traces[0][:1])[0, 1])


def test_no_damaged_ink_is_what_the_table_accepts() -> None:
    """Between the lines that it is judged between, where these alone show it: a stem begun too low."""
    assert len(applied()) > 150
    for letter, ink in applied():
        assert not acceptable(letter, ink.traces, ink.guide), (letter, ink.fault)


def test_every_fault_is_reported_in_a_steady_hand() -> None:
    """The checks find each of them by a right kind in most letters written as taught."""
    steady = [(letter, damaged) for letter, damaged in applied() if letter in SAMPLE_LETTERS]
    reported = [
        damaged.fault
        for letter, damaged in steady
        if damaged.reported(
            check(Ink.from_arrays(damaged.traces), ALPHABET[letter], guide=damaged.guide).findings
        )
    ]

    assert len(reported) > 0.8 * len(steady)
    assert set(reported) == {damaged.fault for _, damaged in applied()}


def test_backwards_turns_each_trace_and_keeps_their_order() -> None:
    stem, bar = taught("t")
    first, second = damaged("t", "backwards").traces

    assert (first == stem[::-1]).all()
    assert (second == bar[::-1]).all()


def test_one_trace_backwards_leaves_the_others_and_never_turns_a_dot() -> None:
    stem, bar = taught("t")
    body, dot = taught("i")

    first, second = damaged("t", "one trace backwards").traces
    assert (first == stem).all()
    assert (second == bar[::-1]).all()
    first, second = damaged("i", "one trace backwards").traces
    assert (first == body[::-1]).all()
    assert (second == dot).all()
    assert damaged("c", "one trace backwards").skipped


def test_a_mirror_image_may_be_told_as_the_letter_it_is() -> None:
    b, e = damaged("b", "mirror image"), damaged("e", "mirror image")

    assert b.reported([Finding(Kind.LETTER, 1, 0.7, letter="d")])
    assert not b.reported([Finding(Kind.LETTER, 1, 0.7, letter="h")])
    assert e.reported([Finding(Kind.REVERSAL, 1, 0.7)])
    assert not e.reported([Finding(Kind.LETTER, 1, 0.7, letter="a")])
    assert damaged("a", "mirror image").skipped


def test_what_the_table_accepts_is_no_fault() -> None:
    assert damaged("x", "two traces swapped").skipped == "x: the table accepts it so, too"
    assert damaged("z", "a trace left out", formed("z", "crossbar")).skipped
    assert damaged("u", "a trace left out", formed("u", "two-strokes")).skipped
    assert damaged("q", "a trace left out", formed("q", "tick")).skipped
    assert not damaged("t", "a trace left out").skipped


def test_a_stray_trace_stands_at_the_right() -> None:
    for letter in TABLE:
        *old, new = damaged(letter, "a stray trace").traces
        assert new[:, 0].min() > max(line[:, 0].max() for line in old)
        assert length(new) == pytest.approx(0.65, rel=0.2)


@for_each("letter", sorted(TABLE))
def test_a_cut_leaves_a_gap_and_all_the_rest(letter: str) -> None:
    first = taught(letter)[0]
    before, after, *others = damaged(letter, "cut in two").traces

    assert len(others) == len(taught(letter)) - 1
    assert length(first) - length(before) - length(after) == pytest.approx(0.2, abs=0.02)
    assert (before[0] == first[0]).all()
    assert (after[-1] == first[-1]).all()


@pytest.mark.parametrize("letter", ["o", "a"])
def test_a_loop_is_opened_by_a_quarter(letter: str) -> None:
    line = taught(letter)[0]
    (left,) = damaged(letter, "opened loop").traces

    assert 0.5 < length(line) - length(left) < 0.9
    assert damaged("e", "opened loop").skipped


def test_a_moved_start_shortens_a_line_and_turns_a_loop() -> None:
    v, o = taught("v")[0], taught("o")[0]
    (later,) = damaged("v", "start moved").traces
    (turned,) = damaged("o", "start moved").traces

    assert length(v) - length(later) == pytest.approx(0.6, abs=0.02)
    assert length(turned) == pytest.approx(length(o), rel=0.1)
    assert np.hypot(*(turned[0] - turned[-1])) < 0.1
    assert np.hypot(*(turned[0] - o[0])) > 0.4


def test_a_shorter_stem_is_judged_between_the_lines_of_the_untouched_ink() -> None:
    guide = damaged("l", "start moved").guide

    assert guide is not None
    assert (guide.ascender, guide.baseline) == pytest.approx((-2, 0), abs=0.05)
    assert damaged("c", "start moved").guide is None
    assert not damaged("c", "start moved, between lines").counted


def test_a_lead_in_cut_short_is_no_stem_begun_too_low() -> None:
    """Led in from below, an l of which the lead-in is left out begins little lower than it did."""
    (stem,) = taught("l")
    traces = (np.vstack([np.linspace((-0.15, -1.7), stem[0], 12)[:-1], stem]),)
    plain, led = damaged("l", "start moved"), damaged("l", "start moved", traces)

    assert acceptable("l", traces)
    assert begun(plain) == pytest.approx(-1.4, abs=0.03)
    assert not plain.skipped
    assert led.skipped == "l: the table accepts it so, too"


def test_another_letter_may_be_told_as_the_part_it_lacks() -> None:
    *_, t = faults("t", taught("t"), ("l", taught("l")))
    *_, c = faults("c", taught("c"), None)

    assert t.kinds == {Kind.LETTER, Kind.MISSING}
    assert damaged("b", "another letter").kinds == {Kind.LETTER}
    assert c.skipped == "the writer has no other letter"


@for_each("letter", sorted(TABLE))
def test_a_lone_point_is_damaged_without_an_error(letter: str) -> None:
    assert len(faults(letter, (np.array([[1.0, 2.0]]),), None)) == 11


def test_a_slip_of_the_hand_is_no_trace_that_can_be_left_out() -> None:
    slip = np.array([[0.0, -1.0], [0.02, -1.0]])

    assert damaged("C", "a trace left out", (slip, *taught("C"))).skipped == "one trace"


def test_an_e_without_its_middle_bar_may_be_called_a_c_but_no_other_letter_may() -> None:
    ink = damaged("E", "a trace left out")

    assert ink.reported([Finding(Kind.LETTER, 0.3, 0.7, letter="C")])
    assert not ink.reported([Finding(Kind.LETTER, 0.3, 0.7, letter="S")])


@pytest.mark.parametrize("turns", [2.0, 2.2, 2.5])
@pytest.mark.parametrize("points", [80, 16])
def test_a_ring_begun_later_never_goes_back_however_far_its_end_passed_its_start(
    turns: float, points: int
) -> None:
    """Neither by a little to the next point of coarse ink, nor by all that its end passed."""
    turn = np.linspace(0.0, turns * np.pi, points)
    ring = np.column_stack([-0.6 * np.sin(turn), -1.0 - np.cos(turn)])

    (moved,) = damaged("O", "start moved", (ring,)).traces
    from_middle = moved - (0.0, -1.0)
    (across, down), (step_across, step_down) = from_middle[:-1].T, np.diff(from_middle, axis=0).T

    assert (across * step_down - down * step_across < 1e-9).all()  # all of it anticlockwise, y down


def test_a_start_that_was_moved_is_reported_of_its_own_trace_only() -> None:
    ink = damaged("4", "start moved")

    assert ink.reported([Finding(Kind.START, 1, 0.35, stroke=0, trace=0)])
    assert not ink.reported([Finding(Kind.START, 1, 0.35, stroke=1, trace=1)])


@pytest.mark.parametrize("letter", "adgq9")
def test_a_bowl_begun_later_may_be_told_of_its_gap(letter: str) -> None:
    assert damaged(letter, "start moved").reported([Finding(Kind.CLOSURE, 0.5, 0.3, stroke=0, trace=0)])
    assert not damaged("n", "start moved").reported([Finding(Kind.CLOSURE, 0.5, 0.3, stroke=0, trace=0)])


def test_a_5_without_its_bar_lacks_it_and_one_begun_to_the_left_was_begun_late() -> None:
    """What is left of the second is as much the 5 in one trace: it has a piece of that bar."""
    bowl, bar = taught("5")
    hooked = np.vstack([bowl[0] + np.linspace((0.35, 0.0), (0.02, 0.0), 12), bowl])
    late = [Finding(Kind.START, 0.6, 0.35, stroke=0, trace=0)]

    assert not damaged("5", "a trace left out", (bowl, bar)).reported(late)
    assert damaged("5", "a trace left out", (hooked, bar)).reported(late)


def test_a_5_or_e_begun_behind_the_bar_that_it_begins_with_lacks_the_bar() -> None:
    bowl, bar = taught("5")
    whole = np.vstack([np.linspace((0.65, -2.0), bowl[0], 30)[:-1], bowl])
    middle = np.linspace((0.0, -1.0), (0.7, -1.0), 30)
    corners = [(0.65, -2.0), (0.0, -2.0), (0.0, 0.0), (0.8, 0.0)]
    angular = resample(np.array(corners), 100)
    missing = [Finding(Kind.MISSING, 1, 0, stroke=1)]

    assert damaged("5", "start moved", (whole,)).reported(missing)
    assert damaged("E", "start moved", (angular, middle)).reported(missing)
    assert not damaged("5", "start moved", (bowl, bar)).reported(missing)
    assert not damaged("E", "start moved", formed("E", "rounded")).reported(missing)


def test_the_lead_in_of_a_1_cut_short_is_no_fault() -> None:
    """The line down begins as high between the lines as it did."""
    (stem,) = taught("1")
    led = np.vstack([np.linspace((-0.5, -1.35), stem[0], 30)[:-1], stem])

    assert acceptable("1", (led,))
    assert damaged("1", "start moved", (led,)).skipped == "1: the table accepts it so, too"


def test_a_6_whose_ring_stays_apart_from_its_side_is_not_accepted() -> None:
    (ink,) = taught("6")
    assert acceptable("6", (ink,))
    assert not acceptable("6", (cut(ink, 0.0, 0.82 * length(ink)),))
