"""Clean cubic Bézier curves for the points of one stroke: as few as stay within a bound.

Between corners the curve is smooth: segments share the direction at the node between them, and where nodes,
directions and handles lie is one nonlinear least squares problem (`scipy.optimize.least_squares`), in which
each point of the ink is held against the place of the curve that is nearest to it. Segments are added until
no point is farther off than the bound.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike

from strokes.curves import Curves, Segments, bernstein, lines, located
from strokes.errors import InkError, LetterError
from strokes.modeling.smoothing import pieces
from strokes.polyline import Floats, Polyline, arc_lengths, as_polyline, bounds, points_at, resample

ERROR = 0.05
"""In x-heights: how far the curves may be from the smoothed ink, about half a pencil line."""

SMALLEST_ERROR, LARGEST_ERROR = 0.001, 0.5
"""In x-heights: below it every tremble is drawn, beyond it no letter is left."""

HELD = 0.8
"""Share of the bound that the curves keep to: other ways to smooth the same ink are some thousandths of an
x-height apart, and the bound is to hold by any of them."""

DOT = 0.15
"""In x-heights: a stroke that stays in a box of this diagonal is a dot, whatever the pen did in it."""

DOT_DRAWN = 0.04
"""In x-heights: the line that a dot is drawn as."""

STRAIGHT_SAG = 0.05
"""A piece that is nowhere farther from its chord than this share of it is meant to be straight: an arc of a
bowl sags more as soon as it is a quarter of the bowl's width."""

STRAIGHT_LEAST = 0.5
"""In x-heights: a straight beginning or end of a curved piece is at least this long."""

MOST_IN_PIECE = 8
"""Segments between two corners; an s has two or three."""

MOST_SEGMENTS = 20
"""Segments of a stroke; an m has about ten."""

_POINTS = 120
_ROUNDS = 6
_KEEP_HANDLES = 0.003


def fit_stroke(points: ArrayLike, error: float = ERROR) -> Curves:
    """The curves of one stroke, `points` (n, 2) in letter space, in the order the pen went.

    No point of the smoothed ink is farther than `error` x-heights from them, and what is clearly straight is
    a line. A tap, or ink that stays in one place, becomes a dot. Raises LetterError where there are no
    points, numbers that are not finite, and ink that no stroke of a letter has: endless, or a scribble.
    """
    return fit_pieces(stroke_pieces(points), checked_error(error))


def checked_error(error: float) -> float:
    """The bound, or a LetterError where it is none."""
    if not SMALLEST_ERROR <= error <= LARGEST_ERROR:
        raise LetterError(
            f"the error must be {SMALLEST_ERROR:g} to {LARGEST_ERROR:g} x-heights, not {error!r}"
        )
    return float(error)


def stroke_pieces(points: ArrayLike) -> list[Polyline]:
    """The smoothed ink of one stroke between its corners; of a dot, its one point."""
    try:
        line = as_polyline(points)
    except InkError as error:
        raise LetterError(f"a stroke cannot be read: {error}") from error
    if is_tap(line):
        left, top, right, bottom = bounds(line)
        return [np.array([[(left + right) / 2, (top + bottom) / 2]])]
    return pieces(line)


def is_tap(line: Polyline) -> bool:
    """Whether ink stays in one place."""
    left, top, right, bottom = bounds(line)
    return bool(np.hypot(right - left, bottom - top) < DOT)


def fit_pieces(smoothed: Sequence[Polyline], error: float) -> Curves:
    """The curves over smoothed pieces that follow each other, with corners between them."""
    if len(smoothed) == 1 and len(smoothed[0]) == 1:
        half = np.array([[0.0, DOT_DRAWN / 2]])
        return Curves(lines(smoothed[0] - half, smoothed[0] + half))
    error = HELD * error
    loop = len(smoothed) == 1 and _is_ring(smoothed[0])
    segments = np.concatenate([_fit_piece(piece, error, loop=loop) for piece in smoothed])
    if len(segments) > MOST_SEGMENTS:
        raise LetterError(
            f"a stroke must need at most {MOST_SEGMENTS} curves, not {len(segments)}: this is a scribble"
        )
    return Curves(segments)


def _is_ring(piece: Polyline) -> bool:
    """Whether a piece ends where it begins and leads on into its beginning, as an o does."""
    if np.hypot(*(piece[0] - piece[-1])) > 1e-9:
        return False
    reach = min(len(piece) - 1, 6)
    ahead, back = piece[reach] - piece[0], piece[-1] - piece[-1 - reach]
    return bool(ahead @ back > 0.5 * np.hypot(*ahead) * np.hypot(*back))  # within 60 degrees


def _fit_piece(piece: Polyline, error: float, *, loop: bool) -> Segments:
    """The segments of one smooth piece; a straight head and tail are lines of their own."""
    if _sag(piece) <= min(error, STRAIGHT_SAG * _chord(piece)):
        return lines(piece[:1], piece[-1:])
    if loop:
        return _fit_curve(piece, error, _Ends(loop=True))
    head = _straight_head(piece, error)
    tail = len(piece) - 1 - _straight_head(piece[::-1], error)
    if head and tail < len(piece) - 1 and head >= tail:
        head, tail = 0, len(piece) - 1
    first = piece[head] - piece[0] if head else None
    last = piece[-1] - piece[tail] if tail < len(piece) - 1 else None
    middle = _fit_curve(piece[head : tail + 1], error, _Ends(first, last))
    before = lines(piece[:1], piece[head : head + 1]) if head else middle[:0]
    behind = lines(piece[tail : tail + 1], piece[-1:]) if last is not None else middle[:0]
    return np.concatenate([before, middle, behind])


def _chord(piece: Polyline) -> float:
    return float(np.hypot(*(piece[-1] - piece[0])))


def _sag(piece: Polyline) -> float:
    """How far a piece is from its chord, at most; without a chord, from its first point."""
    chord = piece[-1] - piece[0]
    size = float(np.hypot(*chord))
    away = piece - piece[0]
    if size < 1e-9:
        return float(np.hypot(*away.T).max())
    along = away @ chord / size
    beyond = np.maximum(np.maximum(-along, along - size), 0.0)
    aside = (away[:, 0] * chord[1] - away[:, 1] * chord[0]) / size
    return float(np.hypot(aside, beyond).max())


def _straight_head(piece: Polyline, error: float) -> int:
    """The index up to which a piece is straight from its start; 0 where that is not far."""
    straight = 0
    for end in range(2, len(piece)):
        part = piece[: end + 1]
        chord = _chord(part)
        if chord < STRAIGHT_LEAST:
            continue
        if _sag(part) > min(error, STRAIGHT_SAG / 2 * chord):
            break
        straight = end
    if not straight or straight > len(piece) - 4:
        return 0
    straight = int(0.92 * straight)  # the last of it leans into the curve already
    return straight if _chord(piece[: straight + 1]) >= 0.9 * STRAIGHT_LEAST else 0


@dataclass(frozen=True)
class _Ends:
    """What is settled about a curve before it is fitted: the direction at its ends, or that it is a ring."""

    first: Polyline | None = None
    last: Polyline | None = None
    loop: bool = False


def _fit_curve(piece: Polyline, error: float, ends: _Ends) -> Segments:
    """The fewest smooth segments within `error` of the points, which they begin and end with."""
    points = resample(piece, min(_POINTS, max(12, len(piece))))
    best, least = lines(points[:1], points[-1:]), np.inf
    for count in range(2 if ends.loop else 1, MOST_IN_PIECE + 1):
        segments = _Problem(points, count, ends).solved()
        off = _farthest(segments, piece)
        if off < least:
            best, least = segments, off
        if least <= error:
            return best
    raise LetterError(
        f"a stroke must be within {error:g} x-heights of {MOST_IN_PIECE} curves between two corners, "
        f"not {least:.3f} off: this is a scribble"
    )


def _farthest(segments: Segments, piece: Polyline) -> float:
    """How far any point of a piece is from the segments, at most."""
    share = np.linspace(0.0, 1.0, 40)
    line = np.vstack([bernstein(segment[None], share) for segment in segments])
    return float(_distances(piece, line).max())


def _distances(points: Polyline, line: Polyline) -> Floats:
    """The distance of each point from a polyline: (n,)."""
    start, step = line[:-1], np.diff(line, axis=0)
    size = np.maximum((step**2).sum(axis=1), 1e-18)
    away = points[:, None] - start[None]
    share = np.clip((away * step).sum(axis=2) / size, 0.0, 1.0)
    gaps = away - share[..., None] * step
    nearest: Floats = np.hypot(gaps[..., 0], gaps[..., 1]).min(axis=1)
    return nearest


@dataclass
class _Problem:
    """One least squares problem: `count` smooth segments over `points`, whose ends they keep.

    The unknowns are the nodes between segments, the direction of travel at every node, in radians, and the
    logarithms of the handles' lengths as shares of their start values.
    """

    points: Polyline
    count: int
    ends: _Ends

    def __post_init__(self) -> None:
        along = arc_lengths(self.points)
        steps = np.diff(self.points, axis=0)
        heading = np.unwrap(np.arctan2(steps[:, 1], steps[:, 0]))
        turned = np.concatenate([[0.0], np.cumsum(np.abs(np.diff(heading))), [0.0]])
        turned[-1] = turned[-2]
        # nodes where equal shares of length and of turning lie between them
        progress = along / along[-1] + turned / max(turned[-1], 1e-9)
        at = np.interp(np.linspace(0.0, progress[-1], self.count + 1), progress, along)
        nodes = points_at(self.points, along, at)
        nodes[0], nodes[-1] = self.points[0], self.points[-1]
        middles = (along[:-1] + along[1:]) / 2
        angles = np.interp(at, middles, heading)
        for place, settled in ((0, self.ends.first), (-1, self.ends.last)):
            if settled is not None:
                angle = float(np.arctan2(settled[1], settled[0]))
                angles[place] = angle + 2 * np.pi * round((angles[place] - angle) / (2 * np.pi))
        self.full_turn = 2 * np.pi * round((angles[-1] - angles[0]) / (2 * np.pi))
        self.sizes = np.repeat(np.diff(at) / 3, 2)
        self.places = np.interp(along, at, np.arange(self.count + 1))
        self.angles, self.nodes = angles, nodes
        free = np.ones(self.count + 1, dtype=bool)
        free[0], free[-1] = self.ends.first is None, self.ends.last is None and not self.ends.loop
        self.free = free

    def solved(self) -> Segments:
        from scipy.optimize import least_squares

        unknown = np.concatenate([self.nodes[1:-1].ravel(), self.angles[self.free], np.zeros(2 * self.count)])
        for _ in range(_ROUNDS):
            before = unknown
            unknown = least_squares(self._residuals, before, method="trf", max_nfev=8).x
            self.places = self._nearest(self._segments(unknown))
            if np.abs(unknown - before).max() < 1e-4:
                break
        return self._segments(unknown)

    def _segments(self, unknown: Floats) -> Segments:
        nodes, angles = self.nodes.copy(), self.angles.copy()
        inner = 2 * (self.count - 1)
        nodes[1:-1] = unknown[:inner].reshape(-1, 2)
        angles[self.free] = unknown[inner : inner + self.free.sum()]
        if self.ends.loop:
            angles[-1] = angles[0] + self.full_turn
        sizes = self.sizes * np.exp(np.clip(unknown[inner + self.free.sum() :], -3.0, 2.0))
        ahead = np.column_stack([np.cos(angles), np.sin(angles)])
        segments = np.empty((self.count, 4, 2))
        segments[:, 0], segments[:, 3] = nodes[:-1], nodes[1:]
        segments[:, 1] = nodes[:-1] + sizes[::2, None] * ahead[:-1]
        segments[:, 2] = nodes[1:] - sizes[1::2, None] * ahead[1:]
        return segments

    def _residuals(self, unknown: Floats) -> Floats:
        """How far each point is from its place on the curve, and, lightly, handles that leave their third."""
        segments = self._segments(unknown)
        which, share = located(self.places, self.count)
        gaps = bernstein(segments[which], share) - self.points
        light = _KEEP_HANDLES * np.sqrt(len(self.points)) * unknown[-2 * self.count :]
        return np.concatenate([gaps.ravel(), light])

    def _nearest(self, segments: Segments) -> Floats:
        """The places of the curve that are nearest to the points, by Newton's steps from where they were."""
        places = self.places
        for _ in range(3):
            which, share = located(places, self.count)
            here = segments[which]
            ahead, bend = _derivatives(here, share)
            gap = bernstein(here, share) - self.points
            slope = (ahead**2).sum(axis=1) + (gap * bend).sum(axis=1)
            slope = np.where(slope > 1e-9, slope, (ahead**2).sum(axis=1) + 1e-9)
            step = np.clip((gap * ahead).sum(axis=1) / slope, -0.2, 0.2)
            places = np.clip(places - step, 0.0, self.count)
        places[0], places[-1] = 0.0, self.count
        nearest: Floats = np.maximum.accumulate(places)
        return nearest


def _derivatives(segments: Segments, share: Floats) -> tuple[Polyline, Polyline]:
    """First and second derivative of each segment (n, 4, 2) at its share (n,)."""
    t = share[:, None]
    first = np.diff(segments, axis=1)
    second = np.diff(first, axis=1)
    ahead = 3 * ((1 - t) ** 2 * first[:, 0] + 2 * (1 - t) * t * first[:, 1] + t**2 * first[:, 2])
    bend = 6 * ((1 - t) * second[:, 0] + t * second[:, 1])
    return ahead, bend
