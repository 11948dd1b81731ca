from __future__ import annotations

import numpy as np
import pytest

from strokes import GuideLines, Ink, InkError, LetterError, StrokesError, check, identify
from strokes.checks import measure
from strokes.framing import FARTHEST, MOST_POINTS, MOST_TRACES, framed
from strokes.simulation import write
from strokes.transform import Transform
from tests.cases import for_each
from tests.shipped import PRINT as ALPHABET

STEM = [[0.0, -1.0], [0.0, 0.0]]
SHOULDER = [[0.0, -0.6], [0.5, -1.0], [0.7, 0.0]]


def test_ink_between_lines_is_framed_in_letter_space_with_its_middle_at_0() -> None:
    guide = GuideLines(ascender=100, x_height=200, baseline=300, descender=420)
    frame = framed(Ink.from_arrays([[[740, 200], [840, 300]]]), guide)

    assert frame.ink.traces[0].points.tolist() == [[-0.5, -1.0], [0.5, 0.0]]
    assert frame.guide is not None
    assert frame.guide.above == 2
    assert frame.guide.below == pytest.approx(1.2, abs=1e-7)
    assert frame.place((0.5, 0.0)) == (840.0, 300.0)


def test_ink_without_lines_is_framed_as_large_as_1_around_0() -> None:
    frame = framed(Ink.from_arrays([[[10, 10], [12, 14]]]))

    assert frame.ink.traces[0].points.tolist() == [[-0.25, -0.5], [0.25, 0.5]]
    assert frame.guide is None
    assert frame.place((0.25, 0.5)) == (12.0, 14.0)


def test_a_dot_is_framed_at_0() -> None:
    assert framed(Ink.from_arrays([[[7e5, 3.0]]])).ink.traces[0].points.tolist() == [[0.0, 0.0]]


def test_nothing_is_judged_by_times() -> None:
    frame, timed = framed(Ink.from_arrays([STEM])), framed(Ink.from_arrays([STEM], times=[[0.25, 3.0]]))

    assert timed.ink.traces[0].times is None
    assert timed.ink.traces[0].points.tolist() == frame.ink.traces[0].points.tolist()


@for_each("shift", [0.0, 1e3, -1e6])
@for_each("scale", [1e-6, 1.0, 3.7e5])
def test_the_last_digits_of_a_shift_and_a_scale_are_gone(shift: float, scale: float) -> None:
    ink = write(ALPHABET["k"], seed=4)
    moved = Ink.from_arrays([(trace.points + shift) * scale for trace in ink.traces])
    guide = GuideLines(
        ascender=(shift - 2) * scale,
        x_height=(shift - 1) * scale,
        baseline=shift * scale,
        descender=(shift + 1) * scale,
    )
    for lines, there in ((GuideLines(), guide), (None, None)):
        pairs = zip(framed(ink, lines).ink.traces, framed(moved, there).ink.traces, strict=True)
        assert all(np.abs(here.points - moved.points).max() < 1e-7 for here, moved in pairs)


def test_where_a_finding_lies_is_told_in_the_space_of_the_ink() -> None:
    ink = Ink.from_arrays([np.add(np.multiply(STEM[::-1], 100), (740, 300))])
    guide = GuideLines(ascender=100, x_height=200, baseline=300, descender=400)

    places = [finding.at for finding in check(ink, ALPHABET["i"], guide=guide).findings if finding.at]
    assert (740.0, 300.0) in places
    assert (740.0, 300.0) in [measured.at for measured in measure(ink, ALPHABET["i"], guide=guide)]


@for_each(
    "trace",
    [
        [[1e300, 0.0]],
        [[-1e308, 0.0], [1e308, 1.0]],
        [[10**400, 0]],
        [[0.0, float("nan")]],
        [["a", "b"]],
        [[1j, 0]],
        [[[0, 0]]],
        [[0, 0], [0]],
    ],
    ids=lambda trace: repr(trace)[:24],
)
def test_what_is_no_place_is_refused_beside_any_other_ink(trace: list[list[float]]) -> None:
    with pytest.raises(InkError):
        Ink.from_arrays([STEM, trace])


@pytest.mark.parametrize(
    "times", [[0.0, 1e300], [0, 10**400], ["a", 1], [0.0, float("inf")], [[0, 1]]], ids=repr
)
def test_what_is_no_time_is_refused(times: list[float]) -> None:
    with pytest.raises(InkError):
        Ink.from_arrays([STEM], times=[times])


@pytest.mark.parametrize("smallest", [5e-324, 1e-310, 1e-200])
def test_ink_smaller_than_any_is_a_dot(smallest: float) -> None:
    ink = Ink.from_arrays([[[0.0, smallest], [smallest, 0.0]]])
    dot = Ink.from_arrays([[[0.0, 0.0], [0.0, 0.0]]])

    assert check(ink, ALPHABET["i"]).findings == check(dot, ALPHABET["i"]).findings
    assert all(np.isfinite(match.distance) for match in identify(ink, ALPHABET))


def test_ink_far_from_its_lines_is_refused_and_without_lines_judged() -> None:
    far = Ink.from_arrays([STEM, [[2 * FARTHEST, 0.0]]])

    with pytest.raises(InkError, match=r"must lie within 1e\+06 x-heights of its lines, not 2e\+06"):
        check(far, ALPHABET["i"], guide=GuideLines())
    assert check(far, ALPHABET["i"]).assigned


def test_ink_with_hardly_a_digit_left_is_refused() -> None:
    with pytest.raises(InkError, match="must be at least 1e-10 of its distance from 0"):
        check(Ink.from_arrays([[[1e12, 0.0], [1e12 + 0.001, 0.0]]]), ALPHABET["i"])
    lines = GuideLines(ascender=1e12 - 0.002, x_height=1e12 - 0.001, baseline=1e12, descender=1e12 + 0.001)
    with pytest.raises(InkError, match="the x-height must be at least 1e-10 of its distance"):
        check(Ink.from_arrays([[[0.0, 1e12]]]), ALPHABET["i"], guide=lines)


@pytest.mark.parametrize("ask", [lambda ink: check(ink, ALPHABET["i"]), lambda ink: identify(ink, ALPHABET)])
def test_more_traces_or_points_than_any_letter_has_are_refused(ask) -> None:
    many = Ink.from_arrays([STEM] * (MOST_TRACES + 1))
    long = Ink.from_arrays([np.zeros((MOST_POINTS + 1, 2))])

    for ink in (many, long):
        with pytest.raises(InkError, match="must have at most 500 traces and 200000 points"):
            ask(ink)


@pytest.mark.parametrize(
    "lines",
    [
        {"ascender": -1e300},
        {"descender": 10**400},
        {"ascender": -1.0000001},
        {"descender": 2e3},
        {"descender": "low"},
        {"ascender": None},
    ],
    ids=repr,
)
def test_lines_that_nobody_writes_between_are_refused(lines: dict[str, float]) -> None:
    with pytest.raises(LetterError, match="guide lines must"):
        GuideLines(**lines)


@pytest.mark.parametrize("scale", [10**400, 1e400, "wide", None, 0.0], ids=repr)
def test_a_transform_of_no_numbers_is_refused(scale: float) -> None:
    with pytest.raises(StrokesError, match="a transform must be finite"):
        Transform(scale_x=scale)
