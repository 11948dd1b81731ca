"""Parts that letters share, held to the table: stems and exits, bars, tails and cups."""

from __future__ import annotations

from collections.abc import Callable
from typing import TypeAlias

import numpy as np

from strokes.evaluation.trace_shape import LEAD, Drawn, Way, turns_left
from strokes.polyline import Polyline, length

Rule: TypeAlias = Callable[[Drawn], str]
"""Why ink is not formed as the table says, in a few words; empty where it is."""

FLICK = 0.5
"""A small exit flick rises no further than this, in x-heights."""

WIDE = 0.9
"""So far to the right of the stem an exit may reach, in x-heights, the slant of the stem in it."""

CLOSED = 0.25
"""A gap up to this is closed, in x-heights: trade facts, section 3."""

SIDE = 0.2
"""A stem begun further to the side of its top than this is led in, which is not in the table."""

TURNED = 0.2
"""A loop encloses at least this share of its box; less has no clear sense."""


def reason(*reasons: tuple[bool, str]) -> str:
    """The first reason whose condition fails."""
    return next((one for holds, one in reasons if not holds), "")


def level(point: Polyline, y: float, within: float = LEAD) -> bool:
    """Whether a point is at this height."""
    return abs(float(point[1]) - y) <= within


def straight(line: Polyline, least: float = 0.9) -> bool:
    """Nearly a straight line from its highest to its lowest point, and nearer to upright than to level."""
    first, last = int(np.argmin(line[:, 1])), int(np.argmax(line[:, 1]))
    core = line[min(first, last) : max(first, last) + 1]
    chord = core[-1] - core[0]
    return float(np.hypot(*chord)) >= least * length(core) and abs(chord[1]) > 1.2 * abs(chord[0])


def begun(way: Way) -> bool:
    """Begun at the top of its first way down, or on it: not led in from the side."""
    first = way.until(1)
    return bool(abs(first[int(np.argmin(first[:, 1])), 0] - way.start[0]) <= SIDE)


def apart(point: Polyline, line: Polyline) -> float:
    """How far a point is from a line."""
    rest = line - point
    return float(np.hypot(rest[:, 0], rest[:, 1]).min())


def end_gap(line: Polyline) -> float:
    """How far the start is from the nearest place of the last third."""
    rest = line[2 * len(line) // 3 :] - line[0]
    return float(np.hypot(rest[:, 0], rest[:, 1]).min())


def plain_stem(way: Way, top: float, bottom: float) -> str:
    """A plain line down."""
    return reason(
        (way.word == "D", f"stem goes {way.word}"),
        (level(way.start, top), "start"),
        (begun(way), "led in from the side"),
        (level(way.end, bottom), "stem ends"),
        (straight(way.line), "stem bent"),
    )


def flicked_stem(way: Way, top: float, bottom: float, *, wide: float = FLICK) -> str:
    """A line down, with or without a small exit to the right."""
    if way.word not in ("D", "DU"):
        return f"stem goes {way.word}"
    down = way.swing(0)
    upper = down[down[:, 1] <= down[0, 1] + 0.6 * (down[-1, 1] - down[0, 1])]
    return reason(
        (level(way.start, top), "start"),
        (begun(way), "led in from the side"),
        (level(way.at[1], bottom), "stem ends"),
        (straight(upper), "stem bent"),
        (way.word == "D" or way.at[1][1] - way.at[2][1] <= FLICK, "exit too high"),
        (way.end[0] - down[:, 0].min() <= wide, "exit too wide"),
        (way.end[0] >= way.at[1][0] - 0.1, "exit to the left"),
    )


def crossbar(bar: Way, stem: Way, low: float, high: float) -> str:
    """A line from left to right across the stem, its middle between two heights."""
    here = stem.line[np.argmin(abs(stem.line[:, 1] - bar.middle[1]))]
    return reason(
        (bar.width > 1.5 * bar.height or bar.width > 2 * abs(bar.end[1] - bar.start[1]), "bar not level"),
        (bar.end[0] > bar.start[0], "bar to the left"),
        (abs(bar.end[0] - bar.start[0]) >= 0.8 * bar.width, "bar bent"),
        (bar.low[0] - 0.1 <= here[0] <= bar.high[0] + 0.1, "bar beside the stem"),
        (low <= bar.middle[1] <= high, "bar too high or low"),
    )


def hooked_tail(ink: Drawn) -> str:
    """A tail down, then nothing, a hook to the left, or a loop on the left that goes back up."""
    tail = ink.ways[0]
    if tail.word not in ("D", "DU", "DUD"):
        return f"tail goes {tail.word}"
    lowest = int(np.argmax(tail.line[:, 1]))
    rest = tail.line[lowest:]
    half = tail.line[max(1, lowest // 2)]
    ahead = 2 * half[0] - tail.start[0]
    return reason(
        (tail.line[lowest, 0] <= ahead + 0.25, "tail to the right"),
        (tail.word == "D" or rest[:, 0].min() <= rest[0, 0] - 0.05, "hook to the right"),
    )


def unlooped(tail: Way) -> bool:
    """A hook that does not come back to the stem."""
    lowest = int(np.argmax(tail.line[:, 1]))
    rest = tail.line[lowest:, 0]
    return bool(rest[-1] - rest.min() <= 0.25)


def open_cup(way: Way, top: float) -> str:
    """A line down, anticlockwise round and up again at the right."""
    cup = way.until(2)
    return reason(
        (level(way.start, top), "start"),
        (begun(way), "led in from the side"),
        (level(way.at[2], top, 0.4), "cup not brought up"),
        (turns_left(cup) > TURNED, "cup not anticlockwise"),
        (way.at[2][0] - way.start[0] >= 0.3, "not to the right"),
    )
