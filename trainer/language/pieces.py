"""The pieces of a stroke by plain geometry: which are lines, arches or rounds, and which way each runs.

Only geometry is named here; the words for it are texts.
"""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum
from functools import lru_cache
from itertools import pairwise

import numpy as np

from strokes.letter import Stroke
from strokes.polyline import (
    Polyline,
    arc_lengths,
    bounds,
    corners,
    cut,
    length,
    resample,
    turning,
)
from strokes.weights import WEIGHTS

STRAIGHT = 0.97  # a piece is straight when its ends are this share of its length apart
LEAN = 0.25  # an upright piece, or a bar, strays less than this share of its length to the side
ROUND = 160.0  # degrees of turning above which a curve is a round part
BOTH_WAYS = 60.0  # degrees each way above which a curve that turns both ways is an s-curve
TRIM = 0.08  # x-heights left off each end before a piece is named: a corner is only known that exactly


class Piece(StrEnum):
    """What a piece is called when it is told to a child."""

    DOT = "dot"
    DOWN = "down"
    UP = "up"
    BAR = "bar"
    SLANT_DOWN = "slant_down"
    SLANT_UP = "slant_up"
    ARCH = "arch"
    LOW_CURVE = "low_curve"
    HOOK = "hook"
    ROUND = "round"
    S_CURVE = "s_curve"


@dataclass(frozen=True, eq=False)
class Part:
    """A piece of a stroke: its name, its line, and the shares of the stroke's length it runs over."""

    piece: Piece
    path: Polyline
    share: tuple[float, float]


@lru_cache(maxsize=1024)
def parts(stroke: Stroke) -> tuple[Part, ...]:
    """The pieces of a stroke between its corners, in the order they are written; at least one."""
    if stroke.is_dot:
        return (Part(Piece.DOT, stroke.path, (0.0, 1.0)),)
    total = length(stroke.path)
    stops = [0.0, *(float(stop) for stop in corners(stroke.path)), total]
    pieces = []
    for start, end in pairwise(stops):
        inner = TRIM if end - start > 4 * TRIM else 0.0
        named = name(cut(stroke.path, start + inner, end - inner))
        pieces.append(Part(named, cut(stroke.path, start, end), (start / total, end / total)))
    return tuple(pieces)


def part_at(stroke: Stroke, share: tuple[float, float] | None) -> Part:
    """The piece that covers most of `share`; without a share, the longest."""
    pieces = parts(stroke)
    if share is None:
        return max(pieces, key=lambda part: part.share[1] - part.share[0])
    return max(pieces, key=lambda part: min(part.share[1], share[1]) - max(part.share[0], share[0]))


def name(line: Polyline) -> Piece:
    """What a line without corners is called; a line shorter than a dot counts as one."""
    along = length(line)
    if along < WEIGHTS.dot_length / 2:
        return Piece.DOT
    across, down = line[-1] - line[0]
    if np.hypot(across, down) / along > STRAIGHT:
        return _straight(float(across), float(down))
    return _curved(line)


def _straight(across: float, down: float) -> Piece:
    if abs(across) <= LEAN * abs(down):
        return Piece.DOWN if down > 0 else Piece.UP
    if abs(down) <= LEAN * abs(across):
        return Piece.BAR
    return Piece.SLANT_DOWN if down > 0 else Piece.SLANT_UP


def _curved(line: Polyline) -> Piece:
    left, right = _turns(line)
    if min(left, right) > BOTH_WAYS:
        return Piece.S_CURVE
    if max(left, right) > ROUND and _is_wide(line):
        return Piece.ROUND if abs(turning(line)) > 200 or _comes_back(line) else _arched(line)
    return _arched(line)


def _arched(line: Polyline) -> Piece:
    """An arch opens downward, a low curve upward; a hook is a long line that bends at one end."""
    if heading(line)[1] < -0.5:
        return Piece.ARCH
    points = resample(line, 33)
    share_upright = float((np.abs(np.diff(points[:, 0])) < 0.35 * np.abs(np.diff(points[:, 1]))).mean())
    turned = abs(turning(line))
    if share_upright > 0.5 and turned < 150:
        return Piece.HOOK
    middle, ends = points[16, 1], (points[0, 1] + points[-1, 1]) / 2
    if points[0, 1] > points[-1, 1] + 0.2 and middle > ends:
        return Piece.LOW_CURVE
    return (
        Piece.ARCH
        if points[:, 1].min() < min(points[0, 1], points[-1, 1]) - 0.02 or middle < ends
        else Piece.LOW_CURVE
    )


def _turns(line: Polyline) -> tuple[float, float]:
    """Degrees turned anticlockwise and clockwise in all, small wavers smoothed away."""
    points = resample(line, 33)
    steps = np.diff(points, axis=0)
    heading = np.unwrap(np.arctan2(steps[:, 1], steps[:, 0]))
    turns = np.degrees(np.diff(heading))
    return float(-turns[turns < 0].sum()), float(turns[turns > 0].sum())


def _is_wide(line: Polyline) -> bool:
    left, top, right, bottom = bounds(line)
    return (right - left) > 0.35 * (bottom - top)


def _comes_back(line: Polyline) -> bool:
    """Whether the line ends within half its width of where it began."""
    left, _, right, _ = bounds(line)
    return float(np.hypot(*(line[-1] - line[0]))) < 0.5 * (right - left)


def heading(line: Polyline, reach: float = 0.35) -> tuple[float, float]:
    """The unit direction in which a line sets out, over its first `reach` x-heights; (0, 0) for a dot."""
    along = arc_lengths(line)
    out = cut(line, 0.0, min(reach, float(along[-1])))
    step = out[-1] - out[0]
    size = float(np.hypot(*step))
    return (float(step[0] / size), float(step[1] / size)) if size > 1e-9 else (0.0, 0.0)
