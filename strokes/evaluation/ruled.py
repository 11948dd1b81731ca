"""Real ink between lines of its writer's usual x-height, and letters that miss these lines in one known way.

Isolated letters come without guide lines. How tall a writer's small letters usually are gives the lines'
distance; each letter stands on its own foot, or hangs from the x-height line where it has a descender.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence

import numpy as np

from strokes.evaluation.trace_shape import SEGMENT, Traces, body_of, reach
from strokes.letter import GuideLines
from strokes.polyline import Floats, Polyline, cut, length

SMALL, LARGE = 0.6, 1.6
"""Sizes, as shares of the usual one, that anyone sees to be wrong in a row of letters."""

PRESSED = 0.25
"""What is left of an ascender or descender."""

FLOATS = 0.5
"""X-heights between the base line and a letter that stands off it."""

LEFT_OUT = 0.6
"""X-heights by which a last trace stops early."""


def usual_x_height(written: Iterable[tuple[str, Traces]]) -> float | None:
    """The median height of one writer's letters that are an x-height tall; None if there is none."""
    heights = [
        np.ptp(np.vstack(traces)[:, 1])
        for letter, traces in written
        if reach(letter) == (1.0, 0.0) and letter != "i"
    ]
    return (float(np.median(heights)) if heights else 0.0) or None


def lines_for(letter: str, traces: Sequence[Polyline], unit: float) -> GuideLines:
    """Lines `unit` apart for this letter: under its foot, or above what hangs."""
    ink = np.vstack([traces[index] for index in body_of(letter, traces)])
    hangs = reach(letter)[1] > 0
    base = float(ink[:, 1].min()) + unit if hangs else float(ink[:, 1].max())
    return GuideLines(ascender=base - 2 * unit, x_height=base - unit, baseline=base, descender=base + unit)


def resized(traces: Traces, lines: GuideLines, factor: float) -> Traces:
    """Smaller or larger, from the base line."""
    foot = (0.0, lines.baseline)
    return tuple((trace - foot) * factor + foot for trace in traces)


def pressed(traces: Traces, lines: GuideLines) -> Traces:
    """With an ascender and a descender a quarter as long."""
    return tuple(
        np.column_stack([trace[:, 0], _pressed(trace[:, 1], lines.x_height, lines.baseline)])
        for trace in traces
    )


def _pressed(heights: Floats, x_height: float, base: float) -> Floats:
    inside: Floats = np.clip(heights, x_height, base)
    return inside + PRESSED * (heights - inside)


def floating(traces: Traces, lines: GuideLines) -> Traces:
    """Above the base line."""
    return tuple(trace - (0.0, FLOATS * lines.unit) for trace in traces)


def left_early(letter: str, traces: Traces, unit: float) -> Traces | None:
    """With the last trace of the letter's body stopped early; None where little would be left of it."""
    last = max(body_of(letter, traces))
    reversed_rest = _without_beginning(traces[last][::-1], LEFT_OUT * unit, unit)
    return None if reversed_rest is None else (*traces[:last], reversed_rest[::-1], *traces[last + 1 :])


def begun_later(traces: Traces, by: float, unit: float) -> Traces | None:
    """With the first trace begun `by` x-heights further on; None where little would be left of it."""
    rest = _without_beginning(traces[0], by * unit, unit)
    return None if rest is None else (rest, *traces[1:])


def _without_beginning(trace: Polyline, by: float, unit: float) -> Polyline | None:
    whole = length(trace)
    return cut(trace, by, whole) if whole >= by + SEGMENT * unit else None
