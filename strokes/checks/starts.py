"""Where a stroke was begun: how far from its start, and how far that may be."""

from __future__ import annotations

from functools import lru_cache
from math import hypot

import numpy as np

from strokes.letter import GuideLines, Stroke
from strokes.polyline import Floats, Polyline, arc_lengths, cut, length
from strokes.tolerances import Tolerances

SETTLED = 0.3
"""X-heights along a stroke after which its first direction is plain."""

EARLY, ASIDE = 0.75, 0.5
"""What counts of a start before the stroke's own, or beside it."""

LATE_LOOP = 0.95
"""What counts of a start further along a closed loop, which is written all the way round nevertheless."""

LATEST = 1.3
"""X-heights along a curve within which a start is looked for: further on another part of it may pass by."""

ON_LINE = 0.1
"""A stem whose top is nearer than this to the x-height line, in x-heights, stands under it."""

STEEP = 0.75
"""Sine of the angle from which a stroke begins as a stem or a steep slant."""

LONG = 1.6
"""A stem longer than this, in x-heights, rises or falls beyond the x-height."""


def start_gap(
    begun: tuple[float, float], stroke: Stroke, tolerances: Tolerances, *, guide: GuideLines | None
) -> tuple[float, float]:
    """How far from its start a stroke was begun at a place in letter space, and how far it may be.

    Along the stroke, round its curve, counts in full, what is begun early by three quarters and to the side
    by half: a pen that comes down before the line or beside it still writes it all. On a closed loop it is
    the straight way that counts, and nearly in full. Of stems and steep slants it is the height that is seen,
    not the way along them; between guide lines too high counts as much as too low, but a stem that ends
    between two lines, a t's, may reach the ascender line. A dot may float as high as it likes. How far a long
    stem rises beside its bowl is a writer's own measure where there are no lines.
    """
    left, top = stroke.start
    across, down = begun[0] - left, begun[1] - top
    if stroke.is_dot:
        return hypot(across, max(0.0, down)), tolerances.dot
    steep = goes_down(stroke)
    if steep and guide is not None:
        return hypot(_off_height(begun[1], top, guide), ASIDE * across), tolerances.start
    x, y = (0.0, 1.0) if steep else heading(stroke)
    along, aside = across * x + down * y, across * y - down * x
    if along > 0 and stroke.is_loop:
        along *= LATE_LOOP
    elif along > 0 and not steep:
        along, aside = _round_the_curve(begun, stroke)
    gap = hypot(along if along > 0 else EARLY * along, ASIDE * aside)
    return gap, tolerances.stem if guide is None and _long_stem(stroke) else tolerances.start


def _round_the_curve(begun: tuple[float, float], stroke: Stroke) -> tuple[float, float]:
    """How far along the first part of a stroke the place nearest to this one is, and how far off."""
    ends, steps, along = _first_part(stroke)
    off = np.array(begun) - ends
    size = (steps**2).sum(axis=1)
    shares = np.clip((off * steps).sum(axis=1) / size, 0.0, 1.0)
    away = np.hypot(*(off - shares[:, None] * steps).T)
    nearest = int(np.argmin(away))
    return float(along[nearest] + shares[nearest] * size[nearest] ** 0.5), float(away[nearest])


@lru_cache(maxsize=4096)
def _first_part(stroke: Stroke) -> tuple[Polyline, Polyline, Floats]:
    """The pieces of a stroke's line in which it may be begun: where each begins, its step, how far along."""
    first = cut(stroke.path, 0.0, LATEST)
    steps = np.diff(first, axis=0)
    real = np.hypot(*steps.T) > 0
    return first[:-1][real], steps[real], arc_lengths(first)[:-1][real]


def _off_height(begun: float, top: float, guide: GuideLines) -> float:
    """How far below the top of a stem it was begun; above it, how far, or how far above the next line."""
    if begun < top < -1 - ON_LINE:
        top = min(top, (guide.ascender - guide.baseline) / guide.unit)
        return min(0.0, begun - top)
    return begun - top


def goes_down(stroke: Stroke) -> bool:
    """Whether it begins as a stem or a steep slant."""
    return heading(stroke)[1] > STEEP


@lru_cache(maxsize=4096)
def heading(stroke: Stroke) -> tuple[float, float]:
    """The unit vector that the stroke begins along."""
    across, down = cut(stroke.path, 0.0, SETTLED)[-1] - stroke.path[0]
    size = hypot(across, down)
    return (float(across / size), float(down / size)) if size > 0 else (0.0, 0.0)


@lru_cache(maxsize=4096)
def _long_stem(stroke: Stroke) -> bool:
    """Whether it begins with a straight line down that is longer than the x-height is tall."""
    first = cut(stroke.path, 0.0, LONG)
    return length(stroke.path) >= LONG and float(first[-1, 1] - first[0, 1]) > 0.98 * LONG
