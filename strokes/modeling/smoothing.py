"""Ink of a stroke without the jitter of hand and screen, cut where it turns at a point."""

from __future__ import annotations

from itertools import pairwise

import numpy as np

from strokes.errors import LetterError
from strokes.polyline import Polyline, arc_lengths, corners, cut, length, points_at, resample

SPACING = 0.02
"""In x-heights: points of ink are set this far apart before anything is measured on them."""

JITTER = 0.04
"""In x-heights, the width (standard deviation) of the smoothing along the stroke: half a pencil line."""

LONGEST = 25.0
"""In x-heights: the longest stroke of a letter, a capital W or M in one, has about 9."""

MOST_POINTS = 100_000
"""In one stroke: a quarter of an hour without a lift, 100 times a second."""


def pieces(line: Polyline) -> list[Polyline]:
    """`line`, in x-heights, between its corners, each piece smoothed with its ends where they were.

    Raises LetterError for a line that is too long for a letter.
    """
    if len(line) > MOST_POINTS:
        raise LetterError(f"a stroke must have at most {MOST_POINTS} points, not {len(line)}")
    if not length(line) <= LONGEST:
        raise LetterError(f"a stroke must be at most {LONGEST:g} x-heights long, not {length(line):.0f}")
    total = length(line)
    count = max(3, int(total / SPACING) + 1)
    calm = smooth(resample(line, count))
    at = np.searchsorted(arc_lengths(calm), corners(calm)) * total / (count - 1)
    stops = [0.0, *(_sharpest(line, float(place)) for place in at), total]
    return [_piece(line, first, last) for first, last in pairwise(stops)]


def smooth(line: Polyline) -> Polyline:
    """`line`, its points SPACING apart, with a Gaussian of JITTER along it; both ends stay put.

    What a Gaussian takes away is smoothed and given back (Tukey's twicing, 1977, from memory): it would draw
    bowls in by 0.003 x-heights.
    """
    calm = _blurred(line)
    calm += _blurred(line - calm)
    calm[0], calm[-1] = line[0], line[-1]
    return calm


def _blurred(line: Polyline) -> Polyline:
    """A Gaussian along the line, which goes on beyond each end as its own half turn about it."""
    from scipy.ndimage import gaussian_filter1d

    reach = min(len(line) - 1, int(4 * JITTER / SPACING))
    before, behind = 2 * line[0] - line[reach:0:-1], 2 * line[-1] - line[-2 : -2 - reach : -1]
    blurred: Polyline = gaussian_filter1d(np.vstack([before, line, behind]), JITTER / SPACING, axis=0)
    return blurred[reach : reach + len(line)]


def _sharpest(line: Polyline, place: float) -> float:
    """The place near a corner at which `line` is farthest from the chord over it: smoothing rounds it off."""
    along = arc_lengths(line)
    first, last = max(0.0, place - 3 * JITTER), min(float(along[-1]), place + 3 * JITTER)
    near = along[(along > first) & (along < last)]
    stops = np.unique(np.concatenate([np.linspace(first, last, 25), near]))
    points = points_at(line, along, stops)
    middle = (points[0] + points[-1]) / 2
    return float(stops[int(np.argmax(np.hypot(*(points - middle).T)))])


def _piece(line: Polyline, first: float, last: float) -> Polyline:
    part = cut(line, first, last)
    return smooth(resample(part, max(3, int((last - first) / SPACING) + 1)))
