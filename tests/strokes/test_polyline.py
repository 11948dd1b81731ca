"""Plane geometry of one line: ordinary, a dot, one point, repeated points, empty, not finite."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from strokes.errors import InkError
from strokes.polyline import (
    arc_lengths,
    as_polyline,
    bounds,
    cut,
    length,
    points_at,
    resample,
    signed_area,
    tangents,
    turning,
)

CORNER = as_polyline([(0, 0), (3, 0), (3, 4)])
DOT = as_polyline([(2, 5)])
RESTING = as_polyline([(2, 5)] * 4)
RESTING_BETWEEN = as_polyline([(0, 0), (3, 0), (3, 0), (3, 0), (3, 4)])
SQUARE = as_polyline([(0, 0), (1, 0), (1, 1), (0, 1), (0, 0)])
"""Clockwise as seen, y growing downward."""

LINES = st.lists(
    st.tuples(st.floats(-100, 100, width=32), st.floats(-100, 100, width=32)), min_size=1, max_size=30
).map(as_polyline)


class TestAsPolyline:
    def test_it_is_a_copy_that_cannot_be_written(self):
        points = np.zeros((3, 2))
        line = as_polyline(points)
        points[0] = 7

        assert line[0].tolist() == [0, 0]
        with pytest.raises(ValueError, match="read-only"):
            line[0] = 1

    def test_a_lone_pair_is_one_point(self):
        assert as_polyline((2, 5)).shape == (1, 2)

    def test_whole_numbers_become_floats(self):
        assert as_polyline([(1, 2)]).dtype == np.float64

    @pytest.mark.parametrize("points", [[], np.zeros((0, 2)), ()])
    def test_no_points_are_refused(self, points):
        with pytest.raises(InkError, match="at least one point, not none"):
            as_polyline(points)

    @pytest.mark.parametrize("points", [[(1, 2, 3)], [1, 2, 3], np.zeros((2, 2, 2))])
    def test_another_shape_is_refused(self, points):
        with pytest.raises(InkError, match="shape"):
            as_polyline(points)

    @pytest.mark.parametrize("bad", [np.nan, np.inf, -np.inf])
    def test_a_number_that_is_not_finite_is_refused_with_its_place(self, bad):
        with pytest.raises(InkError, match="point 1 must be two finite numbers"):
            as_polyline([(0, 0), (1, bad)])

    @pytest.mark.parametrize("points", [[("a", "b")], [(1, 2), (3,)], [None], {"x": 1}])
    def test_what_is_no_number_is_refused(self, points):
        with pytest.raises(InkError):
            as_polyline(points)


class TestLengths:
    def test_a_corner(self):
        assert arc_lengths(CORNER).tolist() == [0, 3, 7]
        assert length(CORNER) == 7

    @pytest.mark.parametrize("line", [DOT, RESTING])
    def test_a_dot_has_no_length(self, line):
        assert length(line) == 0
        assert arc_lengths(line).tolist() == [0] * len(line)

    def test_resting_adds_nothing(self):
        assert length(RESTING_BETWEEN) == length(CORNER)

    @given(LINES)
    def test_it_never_falls_and_is_at_least_the_straight_way(self, line):
        along = arc_lengths(line)

        assert (np.diff(along) >= 0).all()
        assert along[-1] >= np.hypot(*(line[-1] - line[0])) - 1e-9


class TestResample:
    def test_points_stand_at_equal_distances(self):
        np.testing.assert_allclose(resample(CORNER, 8)[:, 0], [0, 1, 2, 3, 3, 3, 3, 3])
        np.testing.assert_allclose(resample(CORNER, 8)[:, 1], [0, 0, 0, 0, 1, 2, 3, 4])

    def test_resting_does_not_draw_points_together(self):
        np.testing.assert_allclose(resample(RESTING_BETWEEN, 8), resample(CORNER, 8))

    @pytest.mark.parametrize("line", [DOT, RESTING])
    def test_a_dot_comes_back_as_often_as_asked(self, line):
        assert resample(line, 5).tolist() == [[2, 5]] * 5

    def test_no_points_are_refused(self):
        with pytest.raises(InkError, match="no points"):
            resample(np.zeros((0, 2)), 5)

    def test_the_line_handed_in_is_not_changed(self):
        line = np.array([(0.0, 0.0), (1.0, 0.0)])
        resample(line, 9)

        assert line.tolist() == [[0, 0], [1, 0]]

    @given(LINES, st.integers(2, 50))
    def test_both_ends_stay_put_and_nothing_leaves_the_box(self, line, count):
        even = resample(line, count)

        assert even.shape == (count, 2)
        np.testing.assert_allclose(even[[0, -1]], line[[0, -1]], atol=1e-9)
        left, top, right, bottom = bounds(line)
        assert (even >= np.array([left, top]) - 1e-9).all()
        assert (even <= np.array([right, bottom]) + 1e-9).all()


class TestPointsAtAndCut:
    def test_points_at_given_distances(self):
        points = points_at(CORNER, arc_lengths(CORNER), np.array([0.0, 3.5, 99.0]))

        assert points.tolist() == [[0, 0], [3, 0.5], [3, 4]]

    def test_a_piece_keeps_the_corner_inside(self):
        assert cut(CORNER, 1, 5).tolist() == [[1, 0], [3, 0], [3, 2]]

    def test_distances_beyond_the_ends_are_the_ends(self):
        assert cut(CORNER, -5, 99).tolist() == CORNER.tolist()

    @pytest.mark.parametrize(("start", "end"), [(2, 2), (3, 1)])
    def test_a_piece_of_no_length_is_one_point(self, start, end):
        assert cut(CORNER, start, end).tolist() == [[start, 0]]

    @pytest.mark.parametrize("line", [DOT, RESTING])
    def test_a_piece_of_a_dot_is_the_dot(self, line):
        assert cut(line, 0, 1).tolist() == [[2, 5]]

    def test_a_corner_at_the_cut_stands_once(self):
        assert cut(CORNER, 3, 7).tolist() == [[3, 0], [3, 4]]

    @given(LINES, st.floats(0, 1), st.floats(0, 1))
    def test_a_piece_is_as_long_as_asked(self, line, first, other):
        start, end = sorted((first * length(line), other * length(line)))

        assert length(cut(line, start, end)) == pytest.approx(end - start, abs=1e-6)


class TestTangents:
    def test_straight_pieces_point_along_themselves(self):
        np.testing.assert_allclose(tangents(CORNER)[[0, -1]], [(1, 0), (0, 1)])
        np.testing.assert_allclose(tangents(CORNER)[1], (0.6, 0.8))

    @pytest.mark.parametrize("line", [DOT, RESTING])
    def test_a_dot_points_nowhere(self, line):
        assert (tangents(line) == 0).all()
        assert tangents(line).shape == line.shape

    @given(LINES)
    def test_they_are_of_unit_length_or_none(self, line):
        sizes = np.hypot(*tangents(line).T)

        assert (np.isclose(sizes, 1) | (sizes == 0)).all()


class TestTurning:
    def test_a_right_hand_corner_is_positive(self):
        """East, then south, y growing downward: a quarter turn clockwise as seen."""
        assert turning(CORNER) == pytest.approx(90)
        assert turning(CORNER[::-1]) == pytest.approx(-90)

    def test_a_circle_turns_once(self):
        angle = np.linspace(0, 2 * np.pi, 200)
        circle = as_polyline(np.column_stack([np.cos(angle), np.sin(angle)]))

        assert turning(circle) == pytest.approx(360 * 198 / 199)

    def test_resting_does_not_turn(self):
        assert turning(RESTING_BETWEEN) == pytest.approx(90)

    @pytest.mark.parametrize("line", [DOT, RESTING, CORNER[:2]])
    def test_a_dot_and_a_straight_line_do_not_turn(self, line):
        assert turning(line) == 0


class TestSignedArea:
    def test_clockwise_as_seen_is_positive(self):
        assert signed_area(SQUARE) == 1
        assert signed_area(SQUARE[::-1]) == -1

    def test_an_open_line_is_closed_first(self):
        assert signed_area(CORNER) == 6

    @pytest.mark.parametrize("line", [DOT, RESTING, CORNER[:2]])
    def test_a_dot_and_a_straight_line_have_none(self, line):
        assert signed_area(line) == 0

    def test_the_place_does_not_matter(self):
        assert signed_area(SQUARE + (7, -3)) == pytest.approx(1)


def test_the_box_around_a_line():
    assert bounds(CORNER) == (0, 0, 3, 4)
    assert bounds(DOT) == (2, 5, 2, 5)
