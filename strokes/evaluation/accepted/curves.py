"""Letters of one curve: c e o s u."""

from __future__ import annotations

import numpy as np

from strokes.evaluation.accepted.parts import (
    CLOSED,
    FLICK,
    TURNED,
    Rule,
    apart,
    end_gap,
    flicked_stem,
    level,
    open_cup,
    reason,
)
from strokes.evaluation.trace_shape import LEAD, Drawn, Way, turns_left
from strokes.polyline import Polyline


def _c(ink: Drawn) -> str:
    """Curve up and left, anticlockwise to the base line, stop at the lower right, open."""
    way = ink.ways[0]
    return reason(
        (way.word in ("D", "DU"), f"goes {way.word}"),
        (turns_left(way.line) > TURNED, "not anticlockwise"),
        (level(way.start, -1), "start"),
        (way.start[0] - way.low[0] >= 0.4 * way.width, "start at the left"),
        (way.end[1] >= -0.5, "ends high"),
        (way.end[0] >= way.middle[0], "ends at the left"),
        (way.end[1] - way.start[1] >= 0.25, "closed"),
    )


def _o(ink: Drawn) -> str:
    """From twelve to two o'clock anticlockwise all the way round, closed."""
    way = ink.ways[0]
    gap = float(np.hypot(*(way.end - way.start)))
    return reason(
        (turns_left(way.line) > 0.5, "not anticlockwise"),
        (apart(way.start, _clock(way, 0, 60)) <= LEAD, "start"),
        (gap <= CLOSED or end_gap(way.line) <= 0.15, "gap"),
        (gap <= 0.45, "tail"),
    )


def _clock(way: Way, first: float, last: float) -> Polyline:
    """Points of the rim of its box's ellipse, from and to degrees clockwise of twelve o'clock."""
    turn = np.radians(np.linspace(first, last, 13))
    half = np.array([way.width, way.height]) / 2
    rim: Polyline = way.middle + half * np.column_stack([np.sin(turn), -np.cos(turn)])
    return rim


def _e(ink: Drawn) -> str:
    """From half x-height at the left, right; up and over anticlockwise, round to the base line; open.

    The bar may rise slightly, and start at the middle: then it is short.
    """
    way = ink.ways[0]
    raised = way.turns[1] if len(way.turns) > 2 else 0
    return reason(
        (way.word in ("UD", "UDU", "D", "DU"), f"goes {way.word}"),
        (-0.85 <= way.start[1] <= -0.2, "start"),
        (way.start[0] <= way.middle[0], "start at the right"),
        (turns_left(way.line) > TURNED, "not anticlockwise"),
        (raised > 0 and way.line[:raised, 0].max() - way.start[0] >= 0.2 * way.width, "no bar first"),
        (way.end[1] >= way.start[1] - 0.1, "closed"),
        (way.end[0] >= way.middle[0], "ends at the left"),
    )


def _s(ink: Drawn) -> str:
    """Curve left anticlockwise to the middle, change to clockwise, finish at the base line at the left."""
    way = ink.ways[0]
    swings = way.sideways(0.1)
    return reason(
        (way.word in ("D", "DU"), f"goes {way.word}"),
        (level(way.start, -1), "start"),
        (level(way.end, 0, 0.4), "end"),
        ("LRL" in swings and len(swings) <= 5, f"goes {swings}"),
        (way.start[0] >= way.middle[0] - 0.1 * way.width, "start at the left"),
        (way.end[0] <= way.middle[0], "ends at the right"),
    )


def _u(ink: Drawn) -> str:
    """Down, round at the base line, up, down. No last line down; two pens."""
    words = [way.word for way in ink.ways]
    first = ink.ways[0]
    if len(ink.ways) == 2:
        if words[0] != "DU":
            return f"goes {' '.join(words)}"
        told = flicked_stem(ink.ways[1], -1, 0)
        if told:
            return told
    elif words[0] not in ("DU", "DUD", "DUDU"):
        return f"goes {words[0]}"
    return open_cup(first, -1) or reason(
        (words[0] != "DUDU" or first.at[3][1] - first.at[4][1] <= FLICK, "exit too high"),
        (len(words[0]) < 3 or level(first.at[3], 0), "last line ends"),
    )


CURVES: dict[str, Rule] = {"c": _c, "e": _e, "o": _o, "s": _s, "u": _u}
