"""What is done to a stroke's curves after they are fitted: turn around, split, join, move a point.

Pure functions: the curves that are handed in stay as they are.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike, NDArray

from strokes.curves import GLUED, Curves, Segments, lines
from strokes.errors import LetterError
from strokes.polyline import Polyline

SMOOTH = 4.0
"""Degrees below which two segments that meet go over into each other without a corner: nobody sees it."""

SHORTEST_PIECE = 0.02
"""In x-heights: nothing is split off that is shorter, a stroke must be seen."""

JOINED = 0.05
"""Ends that are nearer than this, in x-heights, become one point when two strokes are joined."""

_HANDLE = 1e-9


def reverse(curves: Curves) -> Curves:
    """The same curves run the other way."""
    return Curves(curves.segments[::-1, ::-1])


def split(curves: Curves, place: float) -> tuple[Curves, Curves]:
    """The curves up to a place and from there on; a place from 0 to k, as `Curves.nearest` gives it.

    Source of the halving: de Casteljau's algorithm. Raises LetterError where a piece would be too short.
    """
    which = int(min(max(place, 0.0), len(curves) - 1e-12))
    first, second = _halved(curves.segments[which], min(max(place, 0.0), len(curves)) - which)
    before = _without_points(np.concatenate([curves.segments[:which], first[None]]))
    behind = _without_points(np.concatenate([second[None], curves.segments[which + 1 :]]))
    for piece in (before, behind):
        if not len(piece) or Curves(piece).length < SHORTEST_PIECE:
            raise LetterError(
                f"a stroke must be split at least {SHORTEST_PIECE:g} x-heights from its ends, "
                f"not at {place:.3f} of its {len(curves)} curves"
            )
    return Curves(before), Curves(behind)


def split_at(curves: Curves, point: ArrayLike) -> tuple[Curves, Curves]:
    """The same at the place that is nearest to a point in letter space."""
    return split(curves, curves.nearest(point))


def join(first: Curves, second: Curves) -> Curves:
    """Both strokes as one: a line leads over the gap, if there is one; near ends become one point."""
    end, start = first.segments[-1, 3], second.segments[0, 0]
    if np.hypot(*(start - end)) >= JOINED:
        over = lines(end[None], start[None])
        return Curves(np.concatenate([first.segments, over, second.segments]))
    middle = (end + start) / 2
    first = move_point(first, len(first.points) - 1, middle)
    second = move_point(second, 0, middle)
    return Curves(np.concatenate([first.segments, second.segments]))


def smooth_nodes(curves: Curves) -> NDArray[np.bool_]:
    """Which nodes (k + 1,) have curves that go over into each other; the ends have none.

    Of a closed stroke, as an o, both ends are smooth where its end leads on into its beginning.
    """
    segments = curves.segments
    turn = _turns(_leaving(segments[:-1, ::-1]) * -1, _leaving(segments[1:]))
    smooth = np.concatenate([[False], turn < SMOOTH, [False]])
    if _closed(segments):
        around = _turns(-_leaving(segments[-1:, ::-1]), _leaving(segments[:1]))
        smooth[0] = smooth[-1] = bool(around[0] < SMOOTH)
    return smooth


def move_point(curves: Curves, index: int, to: ArrayLike) -> Curves:
    """The curves with point `index` of `Curves.points` at another place (2,), in letter space.

    A node takes its handles along; a handle turns the one across a smooth node, whose length stays. Lines
    stay lines: the handle of a line cannot be moved. The ends of a closed stroke move together. Raises
    LetterError for an index that is none and a place that is not two finite numbers.
    """
    place = np.asarray(to, dtype=np.float64)
    points = curves.points.copy()
    if place.shape != (2,) or not np.isfinite(place).all():
        raise LetterError(f"a point must be moved to two finite numbers, not {np.ravel(place)[:4].tolist()}")
    if not 0 <= index < len(points):
        raise LetterError(f"the point must be one of the {len(points)} points of the stroke, not {index}")
    straight, smooth = curves.straight, smooth_nodes(curves)
    ring = _closed(curves.segments)
    if index % 3:
        segment = index // 3
        if straight[segment]:
            return curves
        points[index] = place
        node = segment if index % 3 == 1 else segment + 1
        _aligned(points, node, straight, smooth, ring=ring, lead=index)
    else:
        shift = place - points[index]
        nodes = {0, len(curves)} if ring and index in (0, len(points) - 1) else {index // 3}
        for node in nodes:
            points[max(0, 3 * node - 1) : 3 * node + 2] += shift
        for segment in np.flatnonzero(straight).tolist():
            ends = points[[3 * segment, 3 * segment + 3]]
            points[3 * segment : 3 * segment + 4] = lines(ends[:1], ends[1:])[0]
        for node in range(len(curves) + 1):
            _aligned(points, node, straight, smooth, ring=ring)
    return Curves.of_points(points)


def _aligned(
    points: Polyline,
    node: int,
    straight: NDArray[np.bool_],
    smooth: NDArray[np.bool_],
    *,
    ring: bool,
    lead: int | None = None,
) -> None:
    """Turns a handle at a smooth node so that it lies across the other one: `lead`, or that of a line."""
    if not smooth[node]:
        return
    count = len(straight)
    before, behind = (node - 1) % count, node % count
    if not ring and node in (0, count):
        return
    handles = (3 * before + 2, 3 * behind + 1)
    lines_here = (bool(straight[before]), bool(straight[behind]))
    if all(lines_here):
        return
    if lead is None and not any(lines_here):
        return  # both went along with the node
    leader = lead if not any(lines_here) else handles[0] if lines_here[0] else handles[1]
    follower = handles[1] if leader == handles[0] else handles[0]
    center = points[3 * node]
    ahead = center - points[leader]
    size = float(np.hypot(*ahead))
    if size > _HANDLE:
        points[follower] = center + ahead / size * float(np.hypot(*(points[follower] - center)))


def _halved(segment: Polyline, share: float) -> tuple[Polyline, Polyline]:
    """Both parts of one segment (4, 2): de Casteljau's points."""
    rows = [segment]
    while len(rows[-1]) > 1:
        rows.append(rows[-1][:-1] + share * np.diff(rows[-1], axis=0))
    return np.stack([row[0] for row in rows]), np.stack([row[-1] for row in rows[::-1]])


def _without_points(segments: Segments) -> Segments:
    """Those that are longer than nothing: a split at a node leaves a segment of one point."""
    size = np.abs(segments - segments[:, :1]).max(axis=(1, 2))
    longer: Segments = segments[size > GLUED]
    return longer


def _leaving(segments: Segments) -> Polyline:
    """The direction in which each segment leaves its first point, as a vector of any length."""
    steps = segments[:, 1:] - segments[:, :1]
    first = np.argmax(np.hypot(steps[..., 0], steps[..., 1]) > _HANDLE, axis=1)
    leaving: Polyline = steps[np.arange(len(steps)), first]
    return leaving


def _turns(before: Polyline, behind: Polyline) -> NDArray[np.float64]:
    """Degrees between two directions, row by row."""
    cross = before[:, 0] * behind[:, 1] - before[:, 1] * behind[:, 0]
    turns: NDArray[np.float64] = np.degrees(np.abs(np.arctan2(cross, (before * behind).sum(axis=1))))
    return turns


def _closed(segments: Segments) -> bool:
    return bool(np.hypot(*(segments[0, 0] - segments[-1, 3])) < GLUED)
