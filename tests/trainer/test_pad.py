from __future__ import annotations

import numpy as np
import pytest

from strokes.letter import GuideLines
from trainer.window.events import Action, PointerEvent
from trainer.window.pad import Pad

GUIDE = GuideLines(ascender=100.0, x_height=200.0, baseline=300.0, descender=400.0)


def pad() -> Pad:
    """100 px to the x-height, base line at y = 300, x = 50 is 0."""
    return Pad(GUIDE.to_letter_space(50.0))


def event(action: Action, x: float, y: float, time: float) -> PointerEvent:
    return PointerEvent(action, x, y, time)


def stroke(target: Pad, *points: tuple[float, float], at: float = 10.0) -> list[str | None]:
    taken = [target.take(event("down", *points[0], at))]
    for number, point in enumerate(points[1:], start=1):
        taken.append(target.take(event("move", *point, at + number / 60)))
    return [*taken, target.take(event("up", *points[-1], at + len(points) / 60))]


def test_a_stroke_is_begun_grown_and_lifted() -> None:
    assert stroke(pad(), (50, 200), (50, 250), (50, 300)) == ["begun", "grown", "grown", "lifted"]


def test_ink_is_in_letter_space_with_seconds_from_the_first_touch() -> None:
    target = pad()
    stroke(target, (50, 200), (150, 300), at=1000.0)
    stroke(target, (50, 100), (50, 110), at=1001.0)
    first, second = target.ink.traces
    assert first.points.tolist() == [[0.0, -1.0], [1.0, 0.0]]
    assert first.times is not None
    assert first.times[0] == 0.0
    assert second.times is not None
    assert second.times[0] == pytest.approx(1.0)


def test_the_live_points_are_px_and_empty_when_the_pen_is_up() -> None:
    target = pad()
    target.take(event("down", 50, 200, 0))
    target.take(event("move", 51, 205, 0.1))
    assert target.live == [(50, 200), (51, 205)]
    target.take(event("up", 51, 205, 0.2))
    assert target.live == []


def test_live_points_handed_out_stay_whole_after_the_lift() -> None:
    """A mark on the screen may share the list."""
    target = pad()
    target.take(event("down", 50, 200, 0))
    shared = target.live
    target.take(event("up", 60, 200, 0.1))
    assert shared == [(50, 200), (60, 200)]


def test_a_tap_is_a_dot() -> None:
    target = pad()
    assert stroke(target, (50, 140)) == ["begun", "lifted"]
    assert len(target.ink.traces[0]) == 1


def test_a_cancelled_stroke_keeps_its_ink() -> None:
    target = pad()
    target.take(event("down", 50, 200, 0))
    target.take(event("move", 50, 280, 0.1))
    assert target.take(event("cancel", 50, 280, 0.2)) == "lifted"
    assert len(target.ink) == 1


def test_a_resting_hand_that_is_cancelled_leaves_nothing_not_even_its_time() -> None:
    target = pad()
    target.take(event("down", 90, 350, 0))
    assert target.take(event("cancel", 91, 350, 5.0)) == "dropped"
    stroke(target, (50, 200), (50, 300), at=5.0)
    assert len(target.ink) == 1
    assert target.ink.traces[0].times is not None
    assert target.ink.traces[0].times[0] == 0.0


def test_moves_and_lifts_without_a_touch_change_nothing() -> None:
    target = pad()
    assert target.take(event("move", 1, 1, 0)) is None
    assert target.take(event("up", 1, 1, 0)) is None
    assert target.take(event("cancel", 1, 1, 0)) is None
    assert len(target.ink) == 0


def test_a_pen_that_stays_where_it_is_adds_no_points() -> None:
    target = pad()
    stroke(target, (50, 200), (50, 200), (50, 200), (50, 210))
    assert len(target.ink.traces[0]) == 2


def test_a_clock_that_jumps_back_does_not_make_times_run_backwards() -> None:
    target = pad()
    target.take(event("down", 50, 200, 5.0))
    target.take(event("move", 50, 220, 4.0))
    target.take(event("up", 50, 230, 6.0))
    stroke(target, (50, 100), (50, 110), at=5.5)
    times = np.concatenate([trace.times for trace in target.ink.traces if trace.times is not None])
    assert (np.diff(times) >= 0).all()


def test_undo_takes_the_stroke_under_the_pen_first_then_the_last_one() -> None:
    target = pad()
    stroke(target, (50, 200), (50, 300))
    target.take(event("down", 80, 200, 11))
    assert target.undo()
    assert (len(target.ink), target.writing) == (1, False)
    assert target.undo()
    assert len(target.ink) == 0
    assert not target.undo()


@pytest.mark.parametrize("lifted", [True, False], ids=["a whole stroke", "the stroke under the pen"])
def test_time_starts_anew_once_everything_was_taken_back(lifted: bool) -> None:
    """The child thinks for six seconds over the empty paper: they are no part of what is written then."""
    target = pad()
    if lifted:
        stroke(target, (50, 200), (50, 300), at=3.0)
    else:
        target.take(event("down", 50, 200, 3.0))
    target.undo()
    stroke(target, (50, 200), (50, 300), at=9.0)
    assert target.ink.traces[0].times is not None
    assert target.ink.traces[0].times[0] == 0.0


def test_time_runs_on_while_some_ink_is_left() -> None:
    """Also when the stroke under the pen is taken back, and when one of two is."""
    target = pad()
    stroke(target, (50, 200), (50, 300), at=3.0)
    stroke(target, (80, 200), (80, 300), at=4.0)
    target.undo()
    target.take(event("down", 80, 200, 5.0))
    target.undo()
    stroke(target, (80, 200), (80, 300), at=9.0)
    assert target.ink.traces[1].times is not None
    assert target.ink.traces[1].times[0] == 6.0


def test_clear_forgets_ink_and_time() -> None:
    target = pad()
    stroke(target, (50, 200), (50, 300), at=3.0)
    target.clear()
    stroke(target, (50, 200), (50, 300), at=9.0)
    assert len(target.ink) == 1
    assert target.ink.traces[0].times is not None
    assert target.ink.traces[0].times[0] == 0.0


def test_a_lift_by_hand_ends_the_stroke() -> None:
    target = pad()
    target.take(event("down", 50, 200, 0))
    assert target.lift() == "lifted"
    assert target.lift() is None
    assert target.take(event("up", 50, 200, 1)) is None
