"""Lengths, areas, cuts and boxes of `strokes.polyline` against shapely, an independent geometry library."""

from __future__ import annotations

import numpy as np
import pytest
import shapely
from shapely.ops import substring

from strokes import polyline
from tests.cases import for_each

SEEDS = range(12)
CLOSE = {"rel": 1e-12, "abs": 1e-12}


def wander(seed: int, count: int = 50) -> polyline.Polyline:
    """A random walk that crosses itself, about 10 units long."""
    return np.random.default_rng(seed).normal(scale=0.2, size=(count, 2)).cumsum(axis=0)


def climb(seed: int) -> polyline.Polyline:
    """A crooked line that never crosses itself, so that a place on it has one distance."""
    line = wander(seed)
    return np.column_stack([np.arange(len(line)) * 0.2, line[:, 1]])


@for_each("seed", SEEDS)
def test_a_length_is_the_one_shapely_gives(seed: int) -> None:
    line = wander(seed)

    assert polyline.length(line) == pytest.approx(shapely.LineString(line).length, **CLOSE)


@for_each("seed", SEEDS)
def test_distances_along_a_line_are_where_shapely_finds_its_points(seed: int) -> None:
    line = climb(seed)

    along = shapely.line_locate_point(shapely.LineString(line), shapely.points(line))

    np.testing.assert_allclose(polyline.arc_lengths(line), along, rtol=1e-12, atol=1e-12)


@for_each("seed", SEEDS)
@for_each("count", [2, 3, 64, 257])
def test_resampled_points_lie_where_shapely_interpolates(seed: int, count: int) -> None:
    line = wander(seed)
    peer = shapely.LineString(line)

    stops = shapely.line_interpolate_point(peer, np.linspace(0, 1, count), normalized=True)

    np.testing.assert_allclose(polyline.resample(line, count), shapely.get_coordinates(stops), atol=1e-12)


@for_each("seed", SEEDS)
@for_each("shares", [(0.0, 1.0), (0.1, 0.3), (0.5, 0.95)])
def test_a_cut_is_the_substring_of_shapely(seed: int, shares: tuple[float, float]) -> None:
    line = wander(seed)
    start, end = (share * polyline.length(line) for share in shares)

    piece = polyline.cut(line, start, end)

    expected = shapely.get_coordinates(substring(shapely.LineString(line), start, end))
    np.testing.assert_allclose(piece, expected, atol=1e-12)


@for_each("seed", SEEDS)
def test_an_area_has_the_size_and_the_sense_of_a_shapely_ring(seed: int) -> None:
    """shapely takes y as growing upward: its anticlockwise ring is a clockwise one on the screen, our +."""
    angles = np.sort(np.random.default_rng(seed).uniform(0, 2 * np.pi, 20))
    ring = np.column_stack([2 * np.cos(angles), np.sin(angles)]) * (1, (-1) ** seed)
    peer = shapely.LinearRing(ring)

    area = polyline.signed_area(ring)

    assert abs(area) == pytest.approx(shapely.Polygon(peer).area, **CLOSE)
    assert (area > 0) is bool(peer.is_ccw)


@for_each("seed", SEEDS)
def test_the_whole_turning_of_a_convex_ring_is_one_round(seed: int) -> None:
    """A simple closed curve turns by 360 degrees, one way or the other (Hopf's Umlaufsatz)."""
    hull = shapely.MultiPoint(wander(seed)).convex_hull.exterior
    ring = shapely.get_coordinates(hull)
    closed = np.vstack([ring, ring[1:2]])

    expected = 360.0 if hull.is_ccw else -360.0

    assert polyline.turning(closed) == pytest.approx(expected, abs=1e-9)


@for_each("seed", SEEDS)
def test_a_box_is_the_one_shapely_draws(seed: int) -> None:
    line = wander(seed)

    assert polyline.bounds(line) == pytest.approx(shapely.LineString(line).bounds, **CLOSE)
