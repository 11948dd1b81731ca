from __future__ import annotations

import itertools
import math

import numpy as np
import pytest

from trainer.drawing import coverage
from trainer.drawing.raster.canvas import dashes

ZIGZAG = [(20.3, 30.1), (60.7, 90.2), (100.4, 25.9), (140.0, 100.5), (150.0, 101.0)]
BOX = (0, 0, 180, 140)


def test_the_coverage_of_a_disc_adds_up_to_its_area() -> None:
    """Checked against pi r squared, for radii that children's pens have."""
    for radius in (3.0, 8.5, 30.0):
        cover = coverage.capsule((50.3, 49.6), (50.3, 49.6), radius, (0, 0, 100, 100))
        assert cover.sum() / 255 == pytest.approx(math.pi * radius**2, rel=0.01)


def test_the_coverage_of_a_line_adds_up_to_its_length_times_its_width_and_two_round_ends() -> None:
    a, b, radius = (30.2, 40.7), (110.9, 95.1), 6.0
    cover = coverage.line([a, b], radius, (0, 0, 180, 140))
    area = 2 * radius * math.dist(a, b) + math.pi * radius**2
    assert cover.sum() / 255 == pytest.approx(area, rel=0.01)


def test_a_line_is_the_same_drawn_in_one_go_or_in_pieces() -> None:
    """Joints are not painted twice: coverage meets by the larger value."""
    whole = coverage.line(ZIGZAG, 7.0, BOX)
    pieces = np.zeros_like(whole)
    for a, b in itertools.pairwise(ZIGZAG):
        coverage.line([a, b], 7.0, BOX, pieces)
    assert np.abs(whole.astype(int) - pieces.astype(int)).max() <= 1


def test_a_straight_line_with_many_points_looks_like_one_with_two() -> None:
    many = [(20 + i, 30 + 0.7 * i) for i in range(100)]
    line = coverage.line([many[0], many[-1]], 5.0, BOX)
    joints = coverage.line(many, 5.0, BOX)
    assert np.abs(line.astype(int) - joints.astype(int)).max() <= 1


def test_one_point_is_a_dot_and_so_is_a_point_many_times_over() -> None:
    dot = coverage.line([(50.0, 50.0)], 6.0, BOX)
    again = coverage.line([(50.0, 50.0)] * 5, 6.0, BOX)
    assert dot.max() == 255
    assert (dot == again).all()


def test_a_hairline_is_fainter_than_a_pixel_and_never_broken() -> None:
    cover = coverage.line([(10.0, 50.0), (170.0, 60.0)], 0.2, BOX)
    columns = cover[:, 12:168].astype(int).sum(axis=0)
    assert columns.min() > 0
    assert cover.max() < 128


def test_nothing_is_covered_outside_the_box_that_is_named() -> None:
    left, top, right, bottom = coverage.line_box(ZIGZAG, 7.3)
    cover = coverage.line(ZIGZAG, 7.3, (left - 5, top - 5, right + 5, bottom + 5))
    cover[5:-5, 5:-5] = 0
    assert not cover.any()


def test_thinning_leaves_a_curve_where_it_was() -> None:
    curve = [(90 + 60 * math.cos(t), 70 + 60 * math.sin(t)) for t in np.linspace(0, 5, 400)]
    thin = coverage.thinned(curve)
    assert len(thin) < 120
    assert (thin[0], thin[-1]) == (curve[0], curve[-1])
    before = coverage.line(curve, 5.0, BOX).astype(int)
    after = coverage.line(thin, 5.0, BOX).astype(int)
    assert np.abs(before - after).max() <= 32, "an eighth of a pixel at most"


def test_thinning_keeps_every_corner() -> None:
    assert coverage.thinned(ZIGZAG) == ZIGZAG


def test_a_ring_is_a_disc_without_a_smaller_disc() -> None:
    cover = coverage.ring((50.0, 50.0), 20.0, 4.0, (0, 0, 100, 100))
    assert cover[50, 50] == 0
    assert cover.sum() / 255 == pytest.approx(math.pi * (22**2 - 18**2), rel=0.02)


def test_dashes_lie_on_the_line_with_gaps_between_them() -> None:
    parts = dashes([(0.0, 0.0), (100.0, 0.0)], 2.0)
    assert len(parts) > 5
    for before, after in itertools.pairwise(parts):
        assert after[0][0] - before[-1][0] > 2.0
