"""Where a stroke was begun: how far from its start, and how far that may be."""

from __future__ import annotations

from functools import lru_cache
from math import hypot

from strokes.letter import GuideLines, Stroke
from strokes.polyline import cut, length
from strokes.tolerances import Tolerances

SETTLED = 0.3
"""X-heights along a stroke after which its first direction is plain."""

EARLY, ASIDE = 0.75, 0.5
"""What counts of a start before the stroke's own, or beside it."""

LATE_LOOP = 0.9
"""What counts of a start further along a closed loop, which is written all the way round nevertheless."""

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

    Along the stroke counts in full, what is begun early by three quarters and to the side by half: a pen
    that comes down before the line or beside it still writes it all, and nearly in full what is begun late on
    a closed loop. Of stems and steep slants it is the height that is seen, not the way along them; between
    guide lines too high counts as much as too low, but a stem that ends between two lines, a t's, may reach
    the ascender line. A dot may float as high as it likes. How far a long stem rises beside its bowl is a
    writer's own measure where there are no lines.
    """
    left, top = stroke.start
    across, down = begun[0] - left, begun[1] - top
    if stroke.is_dot:
        return hypot(across, max(0.0, down)), tolerances.dot
    steep = goes_down(stroke)
    if steep and guide is not None:
        return hypot(_off_height(begun[1], top, guide), ASIDE * across), tolerances.lined
    x, y = (0.0, 1.0) if steep else heading(stroke)
    along, aside = across * x + down * y, across * y - down * x
    late = LATE_LOOP if stroke.is_loop else 1.0
    gap = hypot((late if along > 0 else EARLY) * along, ASIDE * aside)
    return gap, tolerances.stem if guide is None and _long_stem(stroke) else tolerances.start


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
