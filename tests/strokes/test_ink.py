"""Ink: kept as it was written, refused only when it cannot be read at all."""

from __future__ import annotations

import numpy as np
import pytest

from strokes.errors import InkError
from strokes.ink import Ink, Trace
from strokes.transform import Transform

STEM = [(0, -2), (0, -1), (0, 0)]
DOT = [(0, -1.4)]


def test_arrays_become_traces_in_their_order():
    ink = Ink.from_arrays([STEM, DOT])

    assert len(ink) == 2
    assert ink.traces[0].points.tolist() == [list(map(float, point)) for point in STEM]
    assert len(ink.traces[1]) == 1
    assert ink.traces[0].times is None


def test_times_go_with_their_points():
    ink = Ink.from_arrays([STEM, DOT], times=[[0, 0.1, 0.1], [0.7]])

    assert ink.traces[0].times.tolist() == [0, 0.1, 0.1]
    assert ink.traces[1].times.tolist() == [0.7]


def test_ink_is_a_copy_that_cannot_be_written():
    points, times = np.zeros((2, 2)), np.zeros(2)
    trace = Trace(points, times)
    points[:], times[:] = 7, 7

    assert trace.points.sum() == 0
    assert trace.times.sum() == 0
    with pytest.raises(ValueError, match="read-only"):
        trace.points[0] = 1
    with pytest.raises(ValueError, match="read-only"):
        trace.times[0] = 1


def test_repeated_points_are_kept():
    """The pen rested; that is part of what it did."""
    assert len(Trace([(1, 1)] * 5)) == 5


@pytest.mark.parametrize("array", [[], [(1, np.nan)], [(1, np.inf)], [(1, 2, 3)], [("a", 1)]])
def test_an_array_that_is_no_line_is_refused(array):
    with pytest.raises(InkError):
        Ink.from_arrays([STEM, array])


@pytest.mark.parametrize(
    ("times", "reason"),
    [
        ([[0, 1, 2]], "for each of the 2 traces, not for 1"),
        ([[0, 1], [0]], "shape"),
        ([[0, 1, np.nan], [0]], "finite"),
        ([[0, 2, 1], [0]], "backwards"),
    ],
)
def test_times_that_do_not_go_with_the_points_are_refused(times, reason):
    with pytest.raises(InkError, match=reason):
        Ink.from_arrays([STEM, DOT], times=times)


def test_the_box_is_around_all_traces():
    assert Ink.from_arrays([STEM, [(1, 1)]]).bounds == (0, -2, 1, 1)


def test_empty_ink_is_allowed_and_has_no_box():
    assert len(Ink()) == 0
    assert len(Ink.from_arrays([])) == 0
    with pytest.raises(InkError, match="at least one trace, not none"):
        _ = Ink().bounds


def test_one_more_trace_leaves_the_ink_before_it_as_it_was():
    before = Ink.from_arrays([STEM])
    after = before.plus(Trace(DOT))

    assert (len(before), len(after)) == (1, 2)
    assert after.traces[0] is before.traces[0]


def test_in_another_space_the_times_stay():
    ink = Ink.from_arrays([STEM], times=[[0, 1, 2]]).transformed(Transform(100, 100, 5, 300))

    assert ink.traces[0].points.tolist() == [[5, 100], [5, 200], [5, 300]]
    assert ink.traces[0].times.tolist() == [0, 1, 2]


def test_pressure_and_tilt_stay_in_another_space():
    trace = Trace(STEM, None, np.array([0, 0.5, 1]), np.array([[0, 0], [10, -20], [90, -90]]))
    (moved,) = Ink((trace,)).transformed(Transform(100, 100, 5, 300)).traces

    assert moved.pressure.tolist() == [0, 0.5, 1]
    assert moved.tilt.tolist() == [[0, 0], [10, -20], [90, -90]]
    with pytest.raises(ValueError, match="read-only"):
        moved.pressure[0] = 1


@pytest.mark.parametrize(
    ("pressure", "tilt", "reason"),
    [
        ([0, 1], None, "pressure must have the shape"),
        ([0, 0.5, 1.5], None, "pressure must be finite and within 1"),
        ([0, np.nan, 1], None, "pressure must be finite"),
        ([0, -0.5, 1], None, "pressure must not be below 0"),
        (None, [0, 0, 0], "tilt must have the shape"),
        (None, [[0, 0], [0, 91], [0, 0]], "tilt must be finite and within 90 degrees"),
        ("hard", None, "pressure must be numbers"),
    ],
)
def test_pressure_and_tilt_that_cannot_be_are_refused(pressure, tilt, reason):
    with pytest.raises(InkError, match=reason):
        Trace(STEM, None, pressure, tilt)
