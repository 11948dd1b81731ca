from __future__ import annotations

import math

import numpy as np
import pytest

from trainer.drawing import coverage
from trainer.drawing.ink_layer import InkLayer

PAPER = (253, 252, 248)
BLUE = (0, 114, 178)
SIZE = (300, 400)


def page() -> np.ndarray:
    sheet = np.empty((*SIZE, 3), np.uint8)
    sheet[...] = PAPER
    return sheet


def loop(count: int = 200) -> list[tuple[float, float]]:
    """A loop over itself, so that the line meets ink that is already there."""
    return [
        (200 + 120 * math.sin(2 * t) * math.cos(t), 150 + 110 * math.sin(3 * t))
        for t in np.linspace(0, 2, count)
    ]


def written(points: list[tuple[float, float]], chunk: int) -> np.ndarray:
    sheet, layer = page(), InkLayer(12.0, BLUE)
    for end in range(chunk, len(points) + chunk, chunk):
        layer.grow(points[:end], sheet)
    layer.finish(sheet)
    return sheet


def test_ink_is_the_same_whether_it_came_point_by_point_or_at_once() -> None:
    at_once, slowly = written(loop(), 200), written(loop(), 1)
    assert (at_once == slowly).all()


def test_ink_painted_bit_by_bit_looks_like_ink_painted_again_in_one_go() -> None:
    """No joint and no crossing is darker: at most rounding differs."""
    sheet, layer = page(), InkLayer(12.0, BLUE)
    for end in range(1, 201):
        layer.grow(loop()[:end], sheet)
    layer.finish(sheet)
    fresh = page()
    layer.paint(fresh, (0, 0, SIZE[1], SIZE[0]))
    assert np.abs(sheet.astype(int) - fresh.astype(int)).max() <= 2


def test_a_straight_line_in_many_steps_is_as_wide_as_one_in_a_single_stroke() -> None:
    points = [(50 + 3.0 * i, 60 + 1.5 * i) for i in range(80)]
    sheet = written(points, 1)
    box = (0, 0, SIZE[1], SIZE[0])
    share = coverage.line([points[0], points[-1]], 6.0, box)[..., None] / 255
    wanted = np.array(PAPER) * (1 - share) + np.array(BLUE) * share
    assert np.abs(sheet - wanted).max() <= 3


def test_new_points_touch_only_the_pixels_around_them() -> None:
    points = loop()
    sheet, layer = page(), InkLayer(12.0, BLUE)
    layer.grow(points[:150], sheet)
    before = sheet.copy()
    box = layer.grow(points[:152], sheet)
    assert box is not None
    changed = np.argwhere((before != sheet).any(axis=2))
    assert len(changed)
    (top, left), (bottom, right) = changed.min(axis=0), changed.max(axis=0)
    assert box[0] <= left
    assert right < box[2]
    assert box[1] <= top
    assert bottom < box[3]
    assert (box[2] - box[0]) * (box[3] - box[1]) < 60 * 60


def test_the_ink_follows_the_pen_to_the_last_sample() -> None:
    """While the pen moves a straight tail reaches it; when it is up the tail is ink."""
    points = loop(40)
    sheet, layer = page(), InkLayer(12.0, BLUE)
    layer.grow(points, sheet)
    assert layer.tail is not None
    assert layer.tail[1] == points[-1]
    layer.finish(sheet)
    assert layer.tail is None
    x, y = points[-1]
    assert tuple(sheet[int(y), int(x)]) == BLUE


def test_a_touch_without_a_move_is_a_dot() -> None:
    sheet, layer = page(), InkLayer(12.0, BLUE)
    layer.grow([(100.0, 100.0)], sheet)
    assert tuple(sheet[100, 100]) == BLUE
    assert layer.finish(sheet) is None


def test_the_drawn_line_stays_near_the_samples() -> None:
    """Smoothing is for the eye: the middle line passes every sample within a fifth of the pen."""
    points = loop(120)
    sheet = written(points, 1)
    for x, y in points:
        assert tuple(sheet[round(y - 0.5), round(x - 0.5)]) == BLUE


def test_a_corner_is_not_rounded_off() -> None:
    corner = [(50.0, 50.0), (90.0, 130.0), (130.0, 210.0), (170.0, 130.0), (210.0, 50.0)]
    sheet = written(corner, 1)
    assert tuple(sheet[210, 130]) == BLUE


def test_a_staircase_of_whole_pixels_is_drawn_as_a_smooth_line() -> None:
    """A slow mouse reports whole pixels: the edge must not show its steps."""
    stairs = [(60.0 + i, 60.0 + round(0.4 * i)) for i in range(200)]
    sheet = written(stairs, 1)
    ink = sheet[..., 0] < 128
    tops = np.array([np.argmax(ink[:, x]) for x in range(80, 240)], float)
    line = np.polyfit(np.arange(160), tops, 1)
    assert np.abs(tops - np.polyval(line, np.arange(160))).max() <= 1.0


def test_ink_beyond_the_page_is_not_painted_and_does_no_harm() -> None:
    sheet, layer = page(), InkLayer(12.0, BLUE)
    layer.grow([(-300.0, -20.0), (390.0, 290.0), (900.0, 700.0)], sheet)
    layer.finish(sheet)
    assert (sheet != PAPER).any()


@pytest.mark.parametrize("count", [10, 1000])
def test_a_frame_touches_as_many_pixels_with_much_ink_as_with_little(count: int) -> None:
    points = [(100 + 80 * math.cos(i / 7), 100 + 80 * math.sin(i / 7)) for i in range(count + 1)]
    layer = InkLayer(12.0, BLUE)
    layer.grow(points[:count])
    box = layer.grow(points)
    assert box is not None
    assert (box[2] - box[0]) * (box[3] - box[1]) < 40 * 40
