"""Curves after they are fitted: turned around, split, joined, a point moved; smooth joins stay smooth."""

from __future__ import annotations

import numpy as np
import pytest

from strokes import LetterError
from strokes.curves import Curves, lines
from strokes.modeling import fit_stroke, join, move_point, reverse, smooth_nodes, split, split_at
from strokes.polyline import resample

TURN = np.linspace(-np.pi / 2, 1.5 * np.pi, 200)
RING = fit_stroke(np.column_stack([0.5 - 0.5 * np.cos(TURN), -0.5 + 0.5 * np.sin(TURN)]), 0.005)
ARC = fit_stroke(np.column_stack([0.5 * np.cos(TURN[:120]), 0.5 * np.sin(TURN[:120])]), 0.003)
VEE = fit_stroke([(0, -1), (0.4, 0), (0.8, -1)])
HOOK = Curves(
    np.concatenate(
        [
            lines(np.array([[0.4, -1.0]]), np.array([[0.4, 0.6]])),
            [[[0.4, 0.6], [0.4, 0.9], [0.2, 1.0], [0, 0.9]]],
        ]
    )
)


def apart(first: Curves, second: Curves) -> float:
    return float(np.abs(resample(first.polyline(), 300) - resample(second.polyline(), 300)).max())


def turn(curves: Curves, node: int) -> float:
    """Degrees between the handles on both sides of a node."""
    points = curves.points
    before, behind = points[3 * node] - points[3 * node - 1], points[3 * node + 1] - points[3 * node]
    return float(np.degrees(np.arctan2(before[0] * behind[1] - before[1] * behind[0], before @ behind)))


def test_turned_twice_a_stroke_is_as_it_was():
    np.testing.assert_array_equal(reverse(reverse(ARC)).segments, ARC.segments)
    np.testing.assert_array_equal(reverse(ARC).points[0], ARC.points[-1])


@pytest.mark.parametrize("place", [0.3, 1.0, 1.5])
def test_what_is_split_and_joined_again_is_the_same_line(place):
    first, second = split(ARC, place)

    np.testing.assert_allclose(first.points[-1], second.points[0], atol=1e-12)
    assert apart(join(first, second), ARC) < 1e-3


def test_a_stroke_is_split_where_it_is_pointed_at():
    first, second = split_at(VEE, (0.4, 0.1))

    np.testing.assert_allclose(first.points[-1], (0.4, 0.0), atol=0.1)
    assert len(first) + len(second) >= 2


@pytest.mark.parametrize("place", [-1.0, 0.0, 0.001, 2.0, 99.0])
def test_nothing_is_split_off_that_cannot_be_seen(place):
    with pytest.raises(LetterError, match="split at least"):
        split(VEE, place)


def test_over_a_gap_strokes_are_joined_by_a_line_and_near_ends_become_one():
    first = Curves(lines(np.array([[0.0, -1.0]]), np.array([[0.0, 0.0]])))
    far = Curves(lines(np.array([[0.5, 0.0]]), np.array([[1.0, 0.0]])))
    near = Curves(lines(np.array([[0.03, 0.0]]), np.array([[1.0, 0.0]])))

    assert len(join(first, far)) == 3
    assert join(first, far).straight.all()
    assert len(join(first, near)) == 2
    np.testing.assert_allclose(join(first, near).points[3], (0.015, 0.0))


def test_corners_and_smooth_nodes_are_told_apart():
    assert smooth_nodes(VEE).tolist() == [False, False, False]
    assert smooth_nodes(HOOK).tolist() == [False, True, False]
    assert smooth_nodes(RING).all()


def test_a_handle_turns_the_one_across_a_smooth_node():
    node = 1
    moved = move_point(ARC, 3 * node + 1, ARC.points[3 * node + 1] + (0.1, 0.15))

    assert abs(turn(moved, node)) < 0.01
    before, after = (either.points[3 * node - 1] - either.points[3 * node] for either in (ARC, moved))
    assert np.hypot(*after) == pytest.approx(np.hypot(*before))
    np.testing.assert_array_equal(
        np.delete(moved.points, [2, 4], axis=0), np.delete(ARC.points, [2, 4], axis=0)
    )


def test_a_handle_at_a_corner_moves_alone():
    curves = join(
        Curves([[[0, 0], [0.1, -0.5], [0.4, -0.5], [0.5, 0]]]),
        Curves([[[0.5, 0], [0.9, 0], [1, 0.2], [1, 1]]]),
    )
    moved = move_point(curves, 4, (0.9, 0.3))

    np.testing.assert_array_equal(np.delete(moved.points, 4, axis=0), np.delete(curves.points, 4, axis=0))


def test_a_node_takes_its_handles_along():
    shift = np.array([0.05, -0.1])
    moved = move_point(ARC, 3, ARC.points[3] + shift)

    np.testing.assert_allclose(moved.points[2:5] - ARC.points[2:5], [shift] * 3)
    assert abs(turn(moved, 1)) < 0.01


def test_a_line_stays_a_line_and_leads_the_curve_behind_it():
    moved = move_point(HOOK, 0, (0.0, -1.0))

    assert moved.straight[0]
    assert abs(turn(moved, 1)) < 0.01
    assert move_point(HOOK, 1, (5.0, 5.0)) is HOOK  # the handle of a line
    bent = move_point(HOOK, 4, (0.9, 0.9))  # the curve's handle cannot leave the line either
    assert abs(turn(bent, 1)) < 0.01


def test_both_ends_of_a_ring_move_together():
    moved = move_point(RING, 0, RING.points[0] + (0.1, 0.0))

    np.testing.assert_allclose(moved.points[0], moved.points[-1], atol=1e-12)
    assert smooth_nodes(moved).all()


def test_nothing_that_is_handed_in_is_changed():
    before = ARC.points.copy()
    move_point(ARC, 3, (0, 0))
    split(ARC, 0.5)
    join(ARC, HOOK)

    np.testing.assert_array_equal(ARC.points, before)


@pytest.mark.parametrize(("index", "to"), [(-1, (0, 0)), (99, (0, 0)), (0, (np.nan, 0)), (0, (1, 2, 3))])
def test_a_point_that_is_none_is_refused(index, to):
    with pytest.raises(LetterError, match="point must be"):
        move_point(ARC, index, to)
