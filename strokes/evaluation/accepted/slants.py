"""Letters of slanting lines: v w x y z."""

from __future__ import annotations

import numpy as np

from strokes.evaluation.accepted.parts import (
    SIDE,
    Rule,
    begun,
    crossbar,
    hooked_tail,
    level,
    open_cup,
    reason,
    unlooped,
)
from strokes.evaluation.trace_shape import Drawn, Way
from strokes.polyline import Polyline, length


def _v(ink: Drawn) -> str:
    """Slant down-right, slant up-right. Two pens, both downward."""
    words = [way.word for way in ink.ways]
    first, last = ink.ways[0], ink.ways[-1]
    if words not in (["DU"], ["D", "D"]):
        return f"goes {' '.join(words)}"
    foot = first.at[1]
    right = last.start if len(words) == 2 else last.end
    return reason(
        (level(first.start, -1), "start"),
        (level(right, -1), "right side too low"),
        (level(foot, 0), "no point"),
        (begun(first), "led in from the side"),
        (foot[0] - first.start[0] >= -SIDE, "first slant to the left"),
        (right[0] - foot[0] >= -SIDE, "second slant to the left"),
        (right[0] - first.start[0] >= 0.3, "not to the right"),
        (_plain(first.swing(0)), "first slant bent"),
        (_narrow(ink, 0.2) <= 0.6 * _narrow(ink, 0.85), "rounded"),
    )


def _plain(line: Polyline) -> bool:
    """Nearly a straight line from its start to its end, whatever its slant."""
    return float(np.hypot(*(line[-1] - line[0]))) >= 0.85 * length(line)


def _narrow(ink: Drawn, above: float) -> float:
    """The width of the ink at this height above the base line."""
    at = [way.line[abs(way.line[:, 1] + above) < 0.12, 0] for way in ink.ways]
    every = np.concatenate(at)
    return float(np.ptp(every)) if len(every) else 0.0


def _w(ink: Drawn) -> str:
    """Down, up, down, up. Rounded; two pens."""
    words = [way.word for way in ink.ways]
    if words not in (["DUDU"], ["DU", "DU"]):
        return f"goes {' '.join(words)}"
    every = [point for way in ink.ways for point in way.at]
    tops, feet = (every[0], every[-1]), [p for way in ink.ways for p in way.at[1::2]]
    middle = ink.ways[0].at[2]
    return reason(
        (level(ink.ways[0].start, -1), "start"),
        (level(tops[1], -1, 0.4), "right side too low"),
        (all(level(foot, 0) for foot in feet), "feet too high"),
        (middle[1] <= -0.35, "middle too low"),
        (begun(ink.ways[0]), "led in from the side"),
        (feet[0][0] < feet[1][0] < tops[1][0] + SIDE, "not to the right"),
        (tops[0][0] - SIDE < feet[0][0] < tops[1][0], "not to the right"),
        (tops[0][0] < middle[0] < tops[1][0], "not to the right"),
    )


def _x(ink: Drawn) -> str:
    """Slant down-right; from the right, slant down-left. The other slant first."""
    words = [way.word for way in ink.ways]
    leans = [float(way.end[0] - way.start[0]) for way in ink.ways]
    return reason(
        (words == ["D", "D"], f"goes {' '.join(words)}"),
        (all(level(way.start, -1) for way in ink.ways), "start"),
        (all(level(way.end, 0, 0.4) for way in ink.ways), "ends"),
        (leans[0] * leans[1] < 0 and min(map(abs, leans)) > 0.2, "not two slants"),
        (all(begun(way) for way in ink.ways), "led in from the side"),
        (all(_plain(way.swing(0)) for way in ink.ways), "bent"),
    )


def _y(ink: Drawn) -> str:
    """Short slant down-right; from the right, long slant down-left. Or curved: as u, then down, hook left."""
    words = [way.word for way in ink.ways]
    first, last = ink.ways[0], ink.ways[-1]
    start = reason((level(first.start, -1), "start"))
    if start:
        return start
    if words == ["D", "D"]:
        return reason(
            (level(last.start, -1, 0.4), "long slant begun low"),
            (last.start[0] > first.start[0] + 0.2, "long slant at the left"),
            (last.end[0] < last.start[0], "long slant to the right"),
            (-0.7 <= first.end[1] <= 0.5, "short slant too long"),
            (first.end[0] > first.start[0], "short slant to the left"),
            (level(last.end, 1), "no tail"),
        )
    if words in (["DUD"], ["DUDU"]):
        cup, tail = first, Way(first.after(2))
    elif words in (["DU", "D"], ["DU", "DU"]):
        cup, tail = first, last
    else:
        return f"goes {' '.join(words)}"
    told = open_cup(cup, -1) or hooked_tail(Drawn("y", (tail,), (False,)))
    return told or reason(
        (-0.6 <= cup.at[1][1] <= 0.5, "cup too deep"),
        (level(tail.line[0], -1, 0.4), "tail begun low"),
        (level(tail.high, 1), "no tail"),
        (tail.word == "D" or tail.at[1][1] - tail.at[2][1] <= 1.0, "tail looped"),
        (unlooped(tail), "tail looped"),
        (tail.end[0] <= tail.line[0, 0] + 0.05, "tail to the right"),
    )


def _z(ink: Drawn) -> str:
    """Right, slant down-left, right. A short bar through the middle."""
    way = ink.ways[0]
    told = reason(
        (way.word in ("D", "DU", "DUD"), f"goes {way.word}"),
        (way.sideways() in ("RLR", "RLRL"), f"goes {way.sideways()}"),
        (level(way.start, -1), "start"),
        (way.start[0] <= way.middle[0], "start at the right"),
        (way.end[1] >= -0.4, "end"),
        (way.end[0] >= way.middle[0], "ends at the left"),
    )
    if told or len(ink.ways) == 1:
        return told
    bar = ink.ways[1]
    return reason((bar.width < way.width + 0.1, "bar too long")) or crossbar(bar, way, -0.8, -0.2)


SLANTS: dict[str, Rule] = {"v": _v, "w": _w, "x": _x, "y": _y, "z": _z}
