"""Plane geometry of one polyline: an (n, 2) float array, y growing downward."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TypeAlias

import numpy as np
from numpy.typing import ArrayLike, NDArray

from strokes.errors import InkError
from strokes.weights import WEIGHTS

Polyline: TypeAlias = NDArray[np.float64]
Floats: TypeAlias = NDArray[np.float64]

Box: TypeAlias = tuple[float, float, float, float]
"""Left, top, right, bottom."""


LARGEST, SMALLEST = 1e15, 1e-15
"""No number of ink may be larger, and none but 0 smaller: squares and sums of these keep all their digits."""


def as_numbers(values: ArrayLike, what: str) -> Floats:
    """A float64 copy of `values`, whatever they are given as; numbers too small to count become 0.

    Raises InkError, with `what` they are, for anything but numbers; too large ones come as they are.
    """
    try:
        numbers = np.array(values, dtype=np.float64)
    except (TypeError, ValueError, OverflowError) as error:
        raise InkError(f"{what}: {error}") from error
    numbers[np.abs(numbers) < SMALLEST] = 0.0
    return numbers


def as_polyline(points: ArrayLike) -> Polyline:
    """A read-only (n, 2) float64 copy of `points`, n at least 1; a lone (x, y) counts as one point.

    Raises InkError for no points, another shape, or a number that is not finite or beyond `LARGEST`.
    """
    line = as_numbers(points, "points must be numbers in pairs")
    if line.shape == (2,):
        line = line.reshape(1, 2)
    if line.size == 0:
        raise InkError("a line must have at least one point, not none")
    if line.ndim != 2 or line.shape[1] != 2:
        raise InkError(f"points must have the shape (n, 2), not {line.shape}")
    if not (np.abs(line) <= LARGEST).all():
        row = int(np.flatnonzero(~(np.abs(line) <= LARGEST).all(axis=1))[0])
        raise InkError(f"point {row} must be two finite numbers within {LARGEST:g}, not {line[row].tolist()}")
    line.flags.writeable = False
    return line


def arc_lengths(line: Polyline) -> Floats:
    """Distance along `line` at each of its points: (n,), starting at 0, never falling."""
    along: Floats = np.zeros(len(line))
    steps = line[1:] - line[:-1]
    np.add.accumulate(np.hypot(steps[:, 0], steps[:, 1]), out=along[1:])  # np.cumsum, in half its time
    return along


def length(line: Polyline) -> float:
    """The length of `line`; 0 for a dot."""
    return float(arc_lengths(line)[-1])


def resample(line: Polyline, count: int) -> Polyline:
    """Put `count` points at equal distances along `line`; both ends stay put.

    A dot (one point, or one point many times over) comes back as that point `count` times: the dot
    of an i is a stroke like any other.
    """
    if len(line) == 0:
        raise InkError("cannot resample a line with no points")
    along = arc_lengths(line)
    stops = np.arange(count) * (along[-1] / max(1, count - 1))  # as np.linspace, in a third of its time
    if count > 1:
        stops[-1] = along[-1]
    return points_at(line, along, stops)


def points_at(line: Polyline, along: Floats, stops: Floats) -> Polyline:
    """The points of `line` at the distances `stops`, given its `arc_lengths` as `along`."""
    points = np.empty((len(stops), line.shape[1]))  # np.column_stack takes longer than what it stacks
    for axis in range(line.shape[1]):
        points[:, axis] = np.interp(stops, along, line[:, axis])
    return points


def cut(line: Polyline, start: float, end: float) -> Polyline:
    """The piece of `line` between two distances along it; the piece keeps the points in between.

    Distances beyond the ends are taken as the ends. With `start` at `end` the piece is one point.
    """
    along = arc_lengths(line)
    start, end = max(0.0, start), min(float(along[-1]), end)
    inside = line[(along > start) & (along < end)]
    ends = points_at(line, along, np.array([start, max(start, end)]))
    return np.vstack([ends[:1], inside, ends[1:]]) if end > start else ends[:1]


def tangents(line: Polyline) -> Polyline:
    """Unit direction of travel at each point, by central differences: (n, 2); zeros where the pen rests."""
    if len(line) < 2:
        return np.zeros((len(line), 2))
    around = np.empty_like(line)
    around[1:-1] = line[2:] - line[:-2]
    around[0], around[-1] = line[1] - line[0], line[-1] - line[-2]
    size = np.hypot(around[:, 0], around[:, 1])[:, None]
    return np.divide(around, size, out=np.zeros_like(around), where=size > 1e-12)


def turning(line: Polyline) -> float:
    """Total turning in degrees, clockwise as seen on the screen positive; 0 for a straight line or a dot."""
    steps = np.diff(line, axis=0)
    steps = steps[np.hypot(steps[:, 0], steps[:, 1]) > 1e-12]
    if len(steps) < 2:
        return 0.0
    heading = np.arctan2(steps[:, 1], steps[:, 0])
    turns = (np.diff(heading) + np.pi) % (2 * np.pi) - np.pi
    return float(np.degrees(turns.sum()))


def signed_area(line: Polyline) -> float:
    """Area inside `line` closed by a straight line: negative when it runs anticlockwise as seen (y down).

    Half the shoelace sum x[i]·y[i+1] - x[i+1]·y[i]; 0 for a dot or a straight line.
    """
    x, y = line.T
    return float((x * np.roll(y, -1) - np.roll(x, -1) * y).sum() / 2)


def bounds(line: Polyline) -> Box:
    """The box around `line`: left, top, right, bottom."""
    left, top = np.minimum.reduce(line).tolist()
    right, bottom = np.maximum.reduce(line).tolist()
    return left, top, right, bottom


def around(boxes: Sequence[Box]) -> Box:
    """The box around boxes, of which there is at least one."""
    left, top, right, bottom = zip(*boxes, strict=True)
    return min(left), min(top), max(right), max(bottom)


def corners(
    line: Polyline, *, angle: float = WEIGHTS.corner_angle, reach: float = WEIGHTS.corner_reach
) -> Floats:
    """Distances along `line` at which it turns by more than `angle` degrees at a point: (k,), rising.

    The direction over `reach` before the point is set against that over `reach` behind it, so a curve with
    a radius well above `reach` is no corner, and a retrace (180 degrees) is one. Ends are none. The defaults
    are those of letter space.
    """
    along = arc_lengths(line)
    total = float(along[-1])
    if total <= 2 * reach:
        return np.zeros(0)
    stops = np.linspace(reach, total - reach, max(2, int((total - 2 * reach) / (reach / 6)) + 1))
    here = points_at(line, along, stops)
    before = here - points_at(line, along, stops - reach)
    behind = points_at(line, along, stops + reach) - here
    cross = before[:, 0] * behind[:, 1] - before[:, 1] * behind[:, 0]
    turn = np.degrees(np.abs(np.arctan2(cross, (before * behind).sum(axis=1))))
    turns = []
    sharp = turn > angle
    edges = np.flatnonzero(np.diff(np.concatenate([[0], sharp.view(np.int8), [0]])))
    for first, last in edges.reshape(-1, 2):
        turns.append(stops[first + int(np.argmax(turn[first:last]))])
    return np.array(turns)
