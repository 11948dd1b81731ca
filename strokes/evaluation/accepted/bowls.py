"""Letters of a bowl and a stem: a d g q, and b p with the stem first."""

from __future__ import annotations

import numpy as np

from strokes.evaluation.accepted.parts import (
    CLOSED,
    FLICK,
    TURNED,
    WIDE,
    Rule,
    apart,
    crossbar,
    end_gap,
    flicked_stem,
    hooked_tail,
    level,
    plain_stem,
    reason,
    straight,
)
from strokes.evaluation.trace_shape import LEAD, Drawn, Way, turns_left
from strokes.polyline import Polyline


def _a(ink: Drawn) -> str:
    """Curve anticlockwise from one o'clock and up to close, straight down; or bowl, stem. Exit flick."""
    return _round(ink, -1, 0, _exit)


def _d(ink: Drawn) -> str:
    """Bowl, on up to the ascender line, down to the base line; or bowl, then stem."""
    bowl = ink.ways[0].until(1) if ink.ways[0].word else ink.ways[0].line
    return _round(ink, -2, 0, _exit) if len(ink.ways) > 1 else _d_in_one(ink, bowl)


def _d_in_one(ink: Drawn, bowl: Polyline) -> str:
    """As `_round`, but the rise of the bowl goes on up to the top of the stem."""
    way = ink.ways[0]
    if not way.word.startswith("DUD"):
        return f"goes {way.word}"
    top = float(bowl[:, 1].min())
    rise = way.swing(1)
    closed = np.vstack([bowl, rise[rise[:, 1] >= top]])
    stem = Way(way.after(2))
    return (
        _bowl(closed)
        or reason(
            (level(stem.line[0], -2), "stem begins"),
            (-1.5 <= top <= -0.5, "bowl too high"),
            (stem.line[0, 0] >= closed[:, 0].mean(), "stem at the left"),
        )
        or flicked_stem(stem, -2, 0, wide=WIDE)
    )


def _g(ink: Drawn) -> str:
    """Bowl as a, straight down to the descender line, hook left; or bowl, tail; straight or looped tail."""
    return _round(ink, -1, 1, hooked_tail)


def _q(ink: Drawn) -> str:
    """Bowl as a, straight down to the descender line. Flick to the right or a short tick across; two pens."""
    ways = ink.ways
    last = ways[-1]
    ticked = len(ways) > 1 and last.width > last.height and last.width < 1.0
    if len(ways) == 3 and not ticked:
        return "third trace is no tick"
    body = ways[:-1] if ticked else ways
    told = _round(Drawn("q", body, (False,) * len(body)), -1, 1, _tail_of_q)
    return told or (crossbar(last, body[-1], 0.5, 1.2) if ticked else "")


def _tail_of_q(ink: Drawn) -> str:
    way = ink.ways[0]
    if way.word not in ("D", "DU"):
        return f"tail goes {way.word}"
    return reason(
        (straight(way.swing(0), 0.85), "tail bent"),
        (way.word == "D" or way.at[1][1] - way.at[2][1] <= FLICK, "flick too high"),
        (way.end[0] >= way.at[1][0] - 0.1, "hook to the left"),
    )


def _round(ink: Drawn, stem_top: float, bottom: float, tail: Rule) -> str:
    """a, d, g and q: the bowl, then a stem from `stem_top` down; in one or in two."""
    first = ink.ways[0]
    if len(ink.ways) > 1:
        if first.word not in ("DU", "DUD"):
            return f"bowl goes {first.word}"
        bowl, stem = first.line, ink.ways[1]
    else:
        if not first.word.startswith("DUD"):
            return f"goes {first.word}"
        bowl, stem = first.until(2), Way(first.after(2))
    return (
        _bowl(bowl)
        or reason(
            (abs(float(bowl[:, 1].max())) <= (LEAD if bottom == 0 else 2 * LEAD), "bowl too high or low"),
            (stem.word.startswith("D"), f"stem goes {stem.word}"),
            (level(stem.line[0], stem_top), "stem begins"),
            (level(stem.at[1], bottom), "stem ends") if stem.word else (False, "no stem"),
            (stem.line[0, 0] >= bowl[:, 0].mean(), "stem at the left"),
        )
        or tail(Drawn(ink.letter, (stem,), (False,)))
    )


def _exit(ink: Drawn) -> str:
    return flicked_stem(ink.ways[0], ink.ways[0].line[0, 1], ink.ways[0].at[1][1], wide=WIDE)


def _bowl(line: Polyline) -> str:
    """An anticlockwise bowl begun at one to two o'clock and brought back up to its top, closed."""
    low, high = line.min(axis=0), line.max(axis=0)
    size = high[1] - low[1]
    return reason(
        (size > 0, "no bowl"),
        (turns_left(line) > TURNED, "bowl not anticlockwise"),
        (line[0, 1] - low[1] <= LEAD * size, "start"),
        (line[0, 0] >= (low[0] + high[0]) / 2, "start at the left"),
        (line[-1, 1] - low[1] <= LEAD * size, "bowl not brought up"),
        (end_gap(line) <= CLOSED * size, "gap"),
    )


def _b(ink: Drawn) -> str:
    """Down to the base line, back up to the x-height line, over clockwise and round to close; stem, bowl."""
    return _stem_and_bowl(ink, -2, 0, 0)


def _p(ink: Drawn) -> str:
    """Down to the descender line, back up, over clockwise and round to the base line; or stem, bowl."""
    return _stem_and_bowl(ink, -1, 1, 0)


def _stem_and_bowl(ink: Drawn, top: float, foot: float, base: float) -> str:
    first = ink.ways[0]
    if len(ink.ways) == 2:
        told, bowl = plain_stem(first, top, foot), ink.ways[1]
        stem = first.line
    else:
        if first.word not in ("DUD", "DUDU"):
            return f"goes {first.word}"
        stem = first.until(1)
        told = plain_stem(Way(stem), top, foot)
        bowl = Way(first.after(1))
    if told or bowl.word not in ("UDU", "UD", "D", "DU"):
        return told or f"bowl goes {bowl.word}"
    lowest = bowl.line[int(np.argmax(bowl.line[:, 1])) if len(ink.ways) == 2 else int(bowl.turns[2])]
    return reason(
        (turns_left(bowl.line) < -TURNED, "bowl not clockwise"),
        (-1.4 <= bowl.low[1] <= -0.6, "bowl too high or low"),
        (abs(float(lowest[1]) - base) <= 0.4, "bowl not down to the base line"),
        (apart(bowl.start, stem) <= LEAD, "bowl not begun at the stem"),
        (bowl.high[0] - stem[:, 0].mean() >= 0.2, "bowl not at the right"),
        (apart(bowl.end, stem) <= CLOSED, "gap"),
        (len(ink.ways) == 1 or bowl.start[1] <= bowl.middle[1] + 0.1, "bowl begun low"),
    )


BOWLS: dict[str, Rule] = {"a": _a, "b": _b, "d": _d, "g": _g, "p": _p, "q": _q}
