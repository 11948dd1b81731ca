"""Curves for one stroke: known curves within their bound, ink of the simulated hand, and ink that is none."""

from __future__ import annotations

import contextlib

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.interpolate import BPoly, splev, splprep

from strokes import LetterError
from strokes.curves import Curves, lines
from strokes.modeling import fit_stroke
from strokes.polyline import resample
from strokes.simulation import write
from tests.cases import for_each
from tests.shipped import PRINT as ALPHABET

TURN = np.linspace(0.0, 2 * np.pi, 300)
KNOWN = {
    "a circle": np.column_stack([0.5 * np.cos(TURN), 0.5 * np.sin(TURN)]),
    "a quarter of an ellipse": np.column_stack([np.cos(TURN / 4), 0.6 * np.sin(TURN / 4)]),
    "a cubic": Curves([[[0.0, -1.0], [0.9, -1.2], [-0.5, 0.3], [0.6, 0.0]]]).polyline(),
    "a corner of two lines": np.array([[0.0, -1.0], [0.4, 0.0], [0.8, -1.0]]),
}


def gap(line: np.ndarray, curves: Curves) -> float:
    """How far the points of a line are from curves, at most."""
    dense = resample(curves.polyline(0.002), 3000)
    return float(np.hypot(*(line[:, None] - dense[None]).transpose(2, 0, 1)).min(axis=1).max())


@for_each("error", [0.05, 0.01, 0.003])
@for_each("name", KNOWN)
def test_a_known_curve_is_met_within_the_bound(name, error):
    curves = fit_stroke(KNOWN[name], error)

    assert gap(KNOWN[name], curves) <= error
    assert len(curves) <= 5
    np.testing.assert_allclose(curves.points[[0, -1]], KNOWN[name][[0, -1]], atol=1e-9)


def test_a_circle_takes_as_few_curves_as_it_can():
    """Source: two cubics meet a circle within about 1.8 % of its radius, four within 0.03 % (Goldapp 1991,
    from memory); the radius is 0.5."""
    assert len(fit_stroke(KNOWN["a circle"], 0.05)) == 2
    assert len(fit_stroke(KNOWN["a circle"], 0.003)) <= 4


def test_a_smoothing_spline_of_scipy_goes_the_same_way():
    """scipy.interpolate is another road from the same ink to a smooth curve."""
    for name in "cosu":
        (trace,) = write(ALPHABET[name], seed=3).traces
        spline, _ = splprep(trace.points.T, s=len(trace) * 0.005**2)
        smooth = np.column_stack(splev(np.linspace(0, 1, 300), spline))
        assert gap(smooth, fit_stroke(trace.points, 0.02)) < 0.04


def test_segments_are_bernstein_polynomials_of_scipy():
    curves = fit_stroke(KNOWN["a circle"], 0.01)
    shares = np.linspace(0.0, 1.0, 21)
    for index, segment in enumerate(curves.segments):
        theirs = BPoly(segment[:, None], [0.0, 1.0])(shares)
        np.testing.assert_allclose(curves.at(index + shares)[:-1], theirs[:-1], atol=1e-12)


def test_what_is_clearly_straight_is_a_line():
    for name in "lvxzk":
        for trace in write(ALPHABET[name], seed=2).traces:
            assert fit_stroke(trace.points).straight.all()


def test_a_gentle_bow_stays_a_bow():
    bow = np.column_stack([np.linspace(0, 1, 60), 0.12 * np.sin(np.linspace(0, np.pi, 60))])

    assert not fit_stroke(bow).straight.any()


def test_a_straight_beginning_runs_into_the_curve_without_a_kink():
    curves = fit_stroke(write(ALPHABET["j"], seed=1).traces[0].points)

    assert curves.straight[0]
    stem, hook = curves.segments[0], curves.segments[1]
    ahead, on = stem[3] - stem[0], hook[1] - hook[0]
    assert ahead @ on == pytest.approx(np.hypot(*ahead) * np.hypot(*on), rel=1e-6)


def test_jitter_of_a_screen_is_smoothed_away():
    steady = write(ALPHABET["s"], tremor=0.0).traces[0].points
    shaken = steady + np.random.default_rng(1).normal(0, 0.015, steady.shape)

    assert gap(steady, fit_stroke(shaken)) < 0.05
    assert len(fit_stroke(shaken)) <= 3


def test_a_looser_bound_never_takes_more_curves():
    (trace,) = write(ALPHABET["g"], seed=5, tremor=0.04).traces
    counts = [len(fit_stroke(trace.points, error)) for error in (0.01, 0.03, 0.05, 0.1)]

    assert counts == sorted(counts, reverse=True)


@pytest.mark.parametrize(
    "ink", [[(0.3, -1.4)], [(0.3, -1.4)] * 50, [(0.3, -1.4), (0.32, -1.41), (0.3, -1.39)]]
)
def test_a_tap_is_a_dot_where_it_was(ink):
    curves = fit_stroke(ink)

    assert curves.length < 0.1
    np.testing.assert_allclose(curves.polyline().mean(axis=0), (0.3, -1.4), atol=0.011)


SCRIBBLE = np.random.default_rng(0).uniform(-1, 1, (60, 2))
ZIGZAG = np.column_stack([np.tile([0.0, 0.3], 30), np.linspace(-1, 0, 60)])
BAD = {
    "nothing": ([], "no"),
    "NaN": ([(0, 0), (np.nan, 1)], "finite"),
    "infinity": ([(0, 0), (np.inf, 1)], "finite"),
    "three columns": ([(0, 0, 0)], "shape"),
    "words": ([("a", "b")], "numbers"),
    "a scribble": (SCRIBBLE, "at most 25 x-heights long"),
    "a self-crossing mess": (SCRIBBLE[:40] * 0.4, "scribble"),
    "a zigzag": (ZIGZAG, "scribble"),
    "a million points": (np.column_stack([np.linspace(0, 1, 1_000_000)] * 2), "100000 points"),
    "a line far too long": ([(0, 0), (1e6, 0)], "at most 25 x-heights long"),
}


@for_each("case", BAD)
def test_ink_that_is_no_stroke_is_told_in_one_sentence(case):
    ink, sentence = BAD[case]
    with pytest.raises(LetterError, match=sentence) as caught:
        fit_stroke(ink)
    assert "\n" not in str(caught.value)
    assert len(str(caught.value)) < 200


@pytest.mark.parametrize("error", [0.0, -1.0, np.nan, 1.0])
def test_a_bound_that_is_none_is_refused(error):
    with pytest.raises(LetterError, match="the error must be"):
        fit_stroke(KNOWN["a circle"], error)


@settings(max_examples=60)
@given(st.lists(st.tuples(st.floats(-2, 2), st.floats(-2, 2)), min_size=1, max_size=12))
def test_any_few_points_become_curves_or_are_refused(points):
    """Whatever is drawn: the curves are finite and begin and end where the ink does, or it is a scribble."""
    with contextlib.suppress(LetterError):
        curves = fit_stroke(points)
        assert np.isfinite(curves.points).all()
        if curves.length > 0.2:
            np.testing.assert_allclose(curves.points[[0, -1]], np.array(points)[[0, -1]], atol=1e-6)


def test_curves_with_a_gap_or_another_shape_are_refused():
    with pytest.raises(LetterError, match="segment 1 must begin where segment 0 ends"):
        Curves(lines(np.array([[0.0, 0.0], [1.0, 0.1]]), np.array([[1.0, 0.0], [2.0, 0.0]])))
    with pytest.raises(LetterError, match="shape"):
        Curves(np.zeros((0, 4, 2)))
    with pytest.raises(LetterError, match="finite"):
        Curves(np.full((1, 4, 2), np.nan))
    with pytest.raises(LetterError, match="3k"):
        Curves.of_points(np.zeros((5, 2)))
