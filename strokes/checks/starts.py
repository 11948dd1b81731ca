"""Where a stroke was begun: how far from its start, and how far that may be."""

from __future__ import annotations

from functools import lru_cache
from math import hypot

import numpy as np

from strokes.letter import GuideLines, Stroke
from strokes.polyline import Floats, Polyline, arc_lengths, cut, length
from strokes.tolerances import Tolerances
from strokes.weights import WEIGHTS


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
        return hypot(_off_height(begun[1], top, guide), WEIGHTS.aside * across), tolerances.start
    x, y = (0.0, 1.0) if steep else heading(stroke)
    along, aside = across * x + down * y, across * y - down * x
    if along > 0 and stroke.is_loop:
        along *= WEIGHTS.late_loop
    elif along > 0 and not steep:
        along, aside = _round_the_curve(begun, stroke)
    gap = hypot(along if along > 0 else WEIGHTS.early * along, WEIGHTS.aside * aside)
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
    first = cut(stroke.path, 0.0, WEIGHTS.latest)
    steps = np.diff(first, axis=0)
    real = np.hypot(*steps.T) > 0
    return first[:-1][real], steps[real], arc_lengths(first)[:-1][real]


def _off_height(begun: float, top: float, guide: GuideLines) -> float:
    """How far below the top of a stem it was begun; above it, how far, or how far above the next line."""
    if begun < top < -1 - WEIGHTS.on_line:
        top = min(top, (guide.ascender - guide.baseline) / guide.unit)
        return min(0.0, begun - top)
    return begun - top


def goes_down(stroke: Stroke) -> bool:
    """Whether it begins as a stem or a steep slant."""
    return heading(stroke)[1] > WEIGHTS.steep


@lru_cache(maxsize=4096)
def heading(stroke: Stroke) -> tuple[float, float]:
    """The unit vector that the stroke begins along."""
    across, down = cut(stroke.path, 0.0, WEIGHTS.settled)[-1] - stroke.path[0]
    size = hypot(across, down)
    return (float(across / size), float(down / size)) if size > 0 else (0.0, 0.0)


@lru_cache(maxsize=4096)
def _long_stem(stroke: Stroke) -> bool:
    """Whether it begins with a straight line down that is longer than the x-height is tall."""
    long = WEIGHTS.long_stem
    first = cut(stroke.path, 0.0, long)
    return length(stroke.path) >= long and float(first[-1, 1] - first[0, 1]) > WEIGHTS.straight_stem * long
