"""Cubic Bézier curves, end to end: what a stroke is drawn with. Evaluation, flattening, straight pieces.

A segment is four points: where it begins, two handles, where it ends. Source: any book on splines; tests hold
it against scipy.interpolate.BPoly.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property

import numpy as np
from numpy.typing import ArrayLike, NDArray

from strokes.errors import LetterError
from strokes.polyline import Floats, Polyline, arc_lengths

Segments = NDArray[np.float64]
"""(k, 4, 2): k cubic Bézier segments in letter space."""

STEP = 0.015
"""Points of a flattened curve stand about this many x-heights apart: finer than any pen."""

STRAIGHT = 1e-6
"""A segment whose handles are nearer to its chord than this, in x-heights, is a line."""

GLUED = 1e-6
"""Segments follow each other when the gap between them is below this, in x-heights."""


@dataclass(frozen=True, eq=False)
class Curves:
    """`segments` (k, 4, 2), k at least 1, each beginning where the one before it ends.

    Raises LetterError for another shape, numbers that are not finite, and a gap.
    """

    segments: Segments

    def __post_init__(self) -> None:
        segments = np.array(self.segments, dtype=np.float64)
        if segments.ndim != 3 or segments.shape[1:] != (4, 2) or not len(segments):
            raise LetterError(f"curves must have the shape (k, 4, 2), k at least 1, not {segments.shape}")
        if not np.isfinite(segments).all():
            raise LetterError("curves must have finite numbers only")
        gaps = np.hypot(*(segments[1:, 0] - segments[:-1, 3]).T)
        if (gaps > GLUED).any():
            at = int(np.argmax(gaps))
            raise LetterError(f"segment {at + 1} must begin where segment {at} ends, not {gaps[at]:.3g} off")
        segments[1:, 0] = segments[:-1, 3]
        segments.flags.writeable = False
        object.__setattr__(self, "segments", segments)

    @classmethod
    def of_points(cls, points: ArrayLike) -> Curves:
        """Curves from their points in a row, (3k + 1, 2): node, handle, handle, node, handle and so on."""
        row = np.asarray(points, dtype=np.float64)
        if row.ndim != 2 or row.shape[1] != 2 or len(row) < 4 or len(row) % 3 != 1:
            raise LetterError(f"the points of curves must have the shape (3k + 1, 2), not {row.shape}")
        return cls(np.stack([row[at : at + 4] for at in range(0, len(row) - 1, 3)]))

    @classmethod
    def of_polyline(cls, line: Polyline) -> Curves:
        """Straight segments from point to point; a lone point raises LetterError."""
        if len(line) < 2:
            raise LetterError(f"a line must have at least two points to be curves, not {len(line)}")
        return cls(lines(line[:-1], line[1:]))

    def __len__(self) -> int:
        return len(self.segments)

    @property
    def points(self) -> Polyline:
        """All points in a row, (3k + 1, 2); every third one is a node, the others are handles."""
        return np.vstack([self.segments[0, :1], self.segments[:, 1:].reshape(-1, 2)])

    @cached_property
    def straight(self) -> NDArray[np.bool_]:
        """Which segments are lines: (k,)."""
        return _straight(self.segments)

    def at(self, places: ArrayLike) -> Polyline:
        """The points at `places` (n,), each from 0 to k: the whole part is the segment. Clipped to them."""
        which, share = located(places, len(self.segments))
        return bernstein(self.segments[which], share)

    def polyline(self, step: float = STEP) -> Polyline:
        """The curves as points: a line has its ends only, a curve points at most about `step` apart."""
        sizes = _sizes(self.segments)
        counts = np.maximum(2, np.ceil(np.minimum(sizes, 1000.0) / step)).astype(np.intp)
        counts[self.straight] = 1
        which = np.repeat(np.arange(len(counts)), counts)
        share = (np.arange(len(which)) - (np.cumsum(counts) - counts)[which] + 1) / counts[which]
        line = np.vstack([self.segments[0, :1], bernstein(self.segments[which], share)])
        moved = np.hypot(*np.diff(line, axis=0).T) > 1e-9
        distinct = line[np.concatenate([[True], moved])]
        return distinct if len(distinct) > 1 else line[[0, -1]]

    def nearest(self, point: ArrayLike) -> float:
        """The place, from 0 to k, at which the curves are nearest to a point."""
        places = np.linspace(0.0, len(self), 64 * len(self) + 1)
        for width in (1 / 64, 1 / 4096):
            gaps = np.hypot(*(self.at(places) - np.asarray(point, dtype=np.float64)).T)
            best = float(places[int(np.argmin(gaps))])
            places = np.clip(np.linspace(best - width, best + width, 129), 0.0, len(self))
        return best

    @property
    def length(self) -> float:
        """The length of all segments, in x-heights."""
        return float(arc_lengths(self.polyline())[-1])


def lines(starts: Polyline, ends: Polyline) -> Segments:
    """Straight segments from each start (n, 2) to its end (n, 2), the handles at the thirds: (n, 4, 2)."""
    shares = np.array([0.0, 1 / 3, 2 / 3, 1.0])[None, :, None]
    segments: Segments = starts[:, None] + shares * (ends - starts)[:, None]
    segments[:, 3] = ends
    return segments


def located(places: ArrayLike, count: int) -> tuple[NDArray[np.intp], Floats]:
    """For places from 0 to `count` along curves the segment and the share of it; clipped to the ends."""
    clipped = np.clip(np.atleast_1d(np.asarray(places, dtype=np.float64)), 0.0, count)
    which = np.minimum(clipped.astype(np.intp), count - 1)
    return which, clipped - which


def bernstein(segments: Segments, share: Floats) -> Polyline:
    """The point of each segment (n or 1, 4, 2) at its share (n,) from 0 to 1: (n, 2)."""
    t = np.asarray(share)[:, None]
    s = 1 - t
    point: Polyline = (
        s**3 * segments[:, 0]
        + 3 * s**2 * t * segments[:, 1]
        + 3 * s * t**2 * segments[:, 2]
        + t**3 * segments[:, 3]
    )
    return point


def _sizes(segments: Segments) -> Floats:
    """The length of each segment (k,), by the chords of its sixteenths."""
    share = np.tile(np.linspace(0.0, 1.0, 17), len(segments))
    rough = bernstein(np.repeat(segments, 17, axis=0), share).reshape(-1, 17, 2)
    sizes: Floats = np.hypot(*np.diff(rough, axis=1).T).sum(axis=0)
    return sizes


def _straight(segments: Segments) -> NDArray[np.bool_]:
    chord = segments[:, 3] - segments[:, 0]
    size = np.hypot(*chord.T)
    inner = segments[:, 1:3] - segments[:, :1]
    cross = np.abs(inner[..., 0] * chord[:, None, 1] - inner[..., 1] * chord[:, None, 0])
    along = (inner * chord[:, None]).sum(axis=2)
    on_line = (cross <= STRAIGHT * np.maximum(size, STRAIGHT)[:, None]).all(axis=1)
    between = ((along >= -STRAIGHT) & (along <= size[:, None] ** 2 + STRAIGHT)).all(axis=1)
    straight: NDArray[np.bool_] = on_line & between & (size > 0)
    return straight
