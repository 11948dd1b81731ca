"""Ink brought to one place, size and fineness before it is judged, so that none of them decides a verdict.

Between guide lines it comes into letter space, its box's middle at x = 0; without them the larger side of
its box is 1, the middle at (0, 0). Places are then taken to a fineness far below what any pen can tell, so
that the last bits that a shift or a change of scale leaves do not decide between two readings that cost the
same.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache

import numpy as np

from strokes.errors import InkError
from strokes.ink import Ink, Trace
from strokes.letter import GuideLines
from strokes.polyline import Polyline
from strokes.transform import Transform

FINENESS = 2.0**-26
"""X-heights, or shares of the ink's size: less than a micrometer of the largest letter on a wall."""

FARTHEST = 1e6
"""X-heights: ink that goes farther from its lines was not written between them."""

SMALLEST = 1e-10
"""Ink, or an x-height, that is a smaller share of its distance from 0 has too few digits to be judged."""

MOST_TRACES = 500
"""Of one letter. A scribble has some dozens; what comparing traces costs grows with their square."""

MOST_POINTS = 200_000
"""Of one letter: half an hour of a pen that gives 100 points a second."""


@dataclass(frozen=True, eq=False)
class Framed:
    """Ink to be judged, its places alone, the guide lines where it has any, and the way back."""

    ink: Ink
    guide: GuideLines | None
    back: Transform

    def place(self, at: tuple[float, float] | None) -> tuple[float, float] | None:
        """A place of this ink in the space that it came from."""
        return None if at is None else self.back.at(*at)


def framed(ink: Ink, guide: GuideLines | None = None) -> Framed:
    """The ink as it is judged, with `guide` lines in its own space or without any.

    Raises InkError for ink that nothing can be said of: none at all, too much, too far from its lines, or
    coded so coarsely that its shape is lost.
    """
    count = sum(map(len, ink.traces))
    if len(ink) > MOST_TRACES or count > MOST_POINTS:
        raise InkError(
            f"ink of one letter must have at most {MOST_TRACES} traces and {MOST_POINTS} points, "
            f"not {len(ink)} and {count}"
        )
    left, top, right, bottom = ink.bounds
    size = max(right - left, bottom - top)
    x, y = left + (right - left) / 2, top + (bottom - top) / 2
    away = max(abs(left), abs(right), abs(top), abs(bottom))
    if guide is None:
        unit, lines = size or 1.0, None
    else:
        unit, y = guide.unit, guide.baseline
        away = max(away, abs(guide.ascender), abs(guide.descender))
        lines = _lines(_fine((guide.ascender - y) / unit), _fine((guide.descender - y) / unit))
        reach = max(size, abs(top - y), abs(bottom - y)) / unit
        if reach > FARTHEST:
            raise InkError(f"ink must lie within {FARTHEST:g} x-heights of its lines, not {reach:.3g} away")
    if unit < SMALLEST * away:
        what = "ink" if guide is None else "the x-height"
        raise InkError(f"{what} must be at least {SMALLEST:g} of its distance from 0, not {unit / away:.1g}")
    back = Transform(unit, unit, x, y)
    return Framed(Ink(tuple(Trace(_moved(trace.points, back)) for trace in ink.traces)), lines, back)


def _moved(points: Polyline, back: Transform) -> Polyline:
    steps = np.rint((points - (back.shift_x, back.shift_y)) / back.scale_x / FINENESS)
    moved: Polyline = steps * FINENESS + 0.0  # no negative zero
    return moved


@lru_cache
def _lines(ascender: float, descender: float) -> GuideLines:
    """The lines of ink that is framed; a class writes between the same ones all the time."""
    return GuideLines(ascender=ascender, descender=descender)


def _fine(number: float) -> float:
    return round(number / FINENESS) * FINENESS
