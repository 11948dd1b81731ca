"""The space between two letters that stand side by side, as the eye takes it: even, and at its nearest."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

import numpy as np

from strokes.letter import GuideLines
from strokes.polyline import Floats, Polyline

BANDS = 20
"""Bands to the x-height in which two letters' sides are compared."""

DEEP = 0.3
"""X-heights: hollows that are deeper do not bring the next letter nearer to the eye."""


@dataclass(frozen=True, eq=False)
class Sides:
    """The leftmost and the rightmost x of lines in each band from ascender to descender line.

    In a band without ink the left side is infinite and the right side minus infinite. What goes beyond the
    lines counts in the first and the last band. `body` are the bands between x-height and base line.
    """

    lefts: Floats
    rights: Floats
    body: slice


def sides(lines: Iterable[Polyline], guide: GuideLines) -> Sides:
    """The sides of the lines of a letter, at least one."""
    count = round((guide.descender - guide.ascender) * BANDS) + 1
    lefts, rights = np.full(count, np.inf), np.full(count, -np.inf)
    for line in lines:
        x, y = _dense(line).T
        bands = np.clip(np.rint((y - guide.ascender) * BANDS).astype(int), 0, count - 1)
        np.minimum.at(lefts, bands, x)
        np.maximum.at(rights, bands, x)
    top = round((guide.x_height - guide.ascender) * BANDS)
    return Sides(lefts, rights, slice(top, round((guide.baseline - guide.ascender) * BANDS)))


def space(before: Sides, after: Sides) -> float:
    """The mean distance between the sides that face each other at x-height, in x-heights."""
    right = np.maximum(before.rights, before.rights.max() - DEEP)
    left = np.minimum(after.lefts, after.lefts.min() + DEEP)
    return float((left - right)[before.body].mean())


def nearest(before: Sides, after: Sides) -> float:
    """The least distance between them anywhere; negative where they overlap, infinite where none faces.

    Lines in neighboring bands may be less than a band apart, as the bars of F and f are.
    """
    apart = np.array([np.roll(after.lefts, by)[1:-1] - before.rights[1:-1] for by in (-1, 0, 1)])
    return float(apart[np.isfinite(apart)].min(initial=np.inf))


def _dense(path: Polyline) -> Polyline:
    """`path` with points so close that no band is jumped."""
    steps = np.hypot(*np.diff(path, axis=0).T)
    along = np.concatenate([[0.0], np.cumsum(steps)])
    stops = np.linspace(0.0, along[-1], max(2, int(along[-1] * BANDS * 3)))
    return np.column_stack([np.interp(stops, along, axis) for axis in path.T])
