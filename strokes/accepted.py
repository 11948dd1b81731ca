"""Whether ink is formed as the table of accepted formations says: one rule a letter, plain geometry only.

The table is common practice for unjoined lower-case print; each rule bears its line: what is taught, and
what else is accepted. It never looks at what the checks say, nor at the letters' files. A rule gives the
reason of its refusal, so that refused ink can be looked at sorted by reason.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from itertools import pairwise
from typing import TypeAlias

import numpy as np

from strokes.polyline import Polyline, length
from strokes.ways import LEAD, Drawn, Way, drawn, pivots, turns_left

Rule: TypeAlias = Callable[[Drawn], str]

COUNTS: dict[str, tuple[int, ...]] = {
    **dict.fromkeys("celos", (1,)),
    **dict.fromkeys("abdfghnpruvwyz", (1, 2)),
    **dict.fromkeys("kmq", (1, 2, 3)),
    **dict.fromkeys("ijtx", (2,)),
}
"""How many times the pen may come down."""

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


def refusal(letter: str, traces: Sequence[Polyline]) -> str:
    """Why the table does not accept this ink, in a few words; empty where it does."""
    ink = drawn(letter, traces)
    if len(ink.ways) not in COUNTS[letter]:
        return f"{len(ink.ways)} traces"
    return RULES[letter](ink)


def acceptable(letter: str, traces: Sequence[Polyline]) -> bool:
    """Whether the ink is formed as the table accepts, for a writer of unknown hand."""
    return not refusal(letter, traces)


def _first(*reasons: tuple[bool, str]) -> str:
    """The first reason whose condition fails."""
    return next((reason for holds, reason in reasons if not holds), "")


def _level(point: Polyline, y: float, within: float = LEAD) -> bool:
    return abs(float(point[1]) - y) <= within


def _straight(line: Polyline, least: float = 0.9) -> bool:
    """Nearly a straight line from its highest to its lowest point, and nearer to upright than to level."""
    first, last = int(np.argmin(line[:, 1])), int(np.argmax(line[:, 1]))
    core = line[min(first, last) : max(first, last) + 1]
    chord = core[-1] - core[0]
    return float(np.hypot(*chord)) >= least * length(core) and abs(chord[1]) > 1.2 * abs(chord[0])


def _begun(way: Way) -> bool:
    """Begun at the top of its first way down, or on it: not led in from the side."""
    first = way.until(1)
    return bool(abs(first[int(np.argmin(first[:, 1])), 0] - way.start[0]) <= SIDE)


def _apart(point: Polyline, line: Polyline) -> float:
    """How far a point is from a line."""
    rest = line - point
    return float(np.hypot(rest[:, 0], rest[:, 1]).min())


def _stem(way: Way, top: float, bottom: float) -> str:
    """A plain line down."""
    return _first(
        (way.word == "D", f"stem goes {way.word}"),
        (_level(way.start, top), "start"),
        (_begun(way), "led in from the side"),
        (_level(way.end, bottom), "stem ends"),
        (_straight(way.line), "stem bent"),
    )


def _flicked(way: Way, top: float, bottom: float, *, wide: float = FLICK) -> str:
    """A line down, with or without a small exit to the right."""
    if way.word not in ("D", "DU"):
        return f"stem goes {way.word}"
    down = way.swing(0)
    upper = down[down[:, 1] <= down[0, 1] + 0.6 * (down[-1, 1] - down[0, 1])]
    return _first(
        (_level(way.start, top), "start"),
        (_begun(way), "led in from the side"),
        (_level(way.at[1], bottom), "stem ends"),
        (_straight(upper), "stem bent"),
        (way.word == "D" or way.at[1][1] - way.at[2][1] <= FLICK, "exit too high"),
        (way.end[0] - down[:, 0].min() <= wide, "exit too wide"),
        (way.end[0] >= way.at[1][0] - 0.1, "exit to the left"),
    )


def _bar(bar: Way, stem: Way, low: float, high: float) -> str:
    """A line from left to right across the stem, its middle between two heights."""
    here = stem.line[np.argmin(abs(stem.line[:, 1] - bar.middle[1]))]
    return _first(
        (bar.width > 1.5 * bar.height or bar.width > 2 * abs(bar.end[1] - bar.start[1]), "bar not level"),
        (bar.end[0] > bar.start[0], "bar to the left"),
        (abs(bar.end[0] - bar.start[0]) >= 0.8 * bar.width, "bar bent"),
        (bar.low[0] - 0.1 <= here[0] <= bar.high[0] + 0.1, "bar beside the stem"),
        (low <= bar.middle[1] <= high, "bar too high or low"),
    )


def _bowl(line: Polyline) -> str:
    """An anticlockwise bowl begun at one to two o'clock and brought back up to its top, closed."""
    low, high = line.min(axis=0), line.max(axis=0)
    size = high[1] - low[1]
    return _first(
        (size > 0, "no bowl"),
        (turns_left(line) > TURNED, "bowl not anticlockwise"),
        (line[0, 1] - low[1] <= LEAD * size, "start"),
        (line[0, 0] >= (low[0] + high[0]) / 2, "start at the left"),
        (line[-1, 1] - low[1] <= LEAD * size, "bowl not brought up"),
        (_gap(line) <= CLOSED * size, "gap"),
    )


def _gap(line: Polyline) -> float:
    """How far the start is from the nearest place of the last third."""
    rest = line[2 * len(line) // 3 :] - line[0]
    return float(np.hypot(rest[:, 0], rest[:, 1]).min())


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
        or _first(
            (abs(float(bowl[:, 1].max())) <= (LEAD if bottom == 0 else 2 * LEAD), "bowl too high or low"),
            (stem.word.startswith("D"), f"stem goes {stem.word}"),
            (_level(stem.line[0], stem_top), "stem begins"),
            (_level(stem.at[1], bottom), "stem ends") if stem.word else (False, "no stem"),
            (stem.line[0, 0] >= bowl[:, 0].mean(), "stem at the left"),
        )
        or tail(Drawn(ink.letter, (stem,), (False,)))
    )


def _exit(ink: Drawn) -> str:
    return _flicked(ink.ways[0], ink.ways[0].line[0, 1], ink.ways[0].at[1][1], wide=WIDE)


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
        or _first(
            (_level(stem.line[0], -2), "stem begins"),
            (-1.5 <= top <= -0.5, "bowl too high"),
            (stem.line[0, 0] >= closed[:, 0].mean(), "stem at the left"),
        )
        or _flicked(stem, -2, 0, wide=WIDE)
    )


def _g(ink: Drawn) -> str:
    """Bowl as a, straight down to the descender line, hook left; or bowl, tail; straight or looped tail."""
    return _round(ink, -1, 1, _hooked)


def _hooked(ink: Drawn) -> str:
    """A tail down, then nothing, a hook to the left, or a loop on the left that goes back up."""
    tail = ink.ways[0]
    if tail.word not in ("D", "DU", "DUD"):
        return f"tail goes {tail.word}"
    lowest = int(np.argmax(tail.line[:, 1]))
    rest = tail.line[lowest:]
    half = tail.line[max(1, lowest // 2)]
    ahead = 2 * half[0] - tail.start[0]
    return _first(
        (tail.line[lowest, 0] <= ahead + 0.25, "tail to the right"),
        (tail.word == "D" or rest[:, 0].min() <= rest[0, 0] - 0.05, "hook to the right"),
    )


def _unlooped(tail: Way) -> bool:
    """A hook that does not come back to the stem."""
    lowest = int(np.argmax(tail.line[:, 1]))
    rest = tail.line[lowest:, 0]
    return bool(rest[-1] - rest.min() <= 0.25)


def _q(ink: Drawn) -> str:
    """Bowl as a, straight down to the descender line. Flick to the right or a short tick across; two pens."""
    ways = ink.ways
    last = ways[-1]
    ticked = len(ways) > 1 and last.width > last.height and last.width < 1.0
    if len(ways) == 3 and not ticked:
        return "third trace is no tick"
    body = ways[:-1] if ticked else ways
    told = _round(Drawn("q", body, (False,) * len(body)), -1, 1, _tail_of_q)
    return told or (_bar(last, body[-1], 0.5, 1.2) if ticked else "")


def _tail_of_q(ink: Drawn) -> str:
    way = ink.ways[0]
    if way.word not in ("D", "DU"):
        return f"tail goes {way.word}"
    return _first(
        (_straight(way.swing(0), 0.85), "tail bent"),
        (way.word == "D" or way.at[1][1] - way.at[2][1] <= FLICK, "flick too high"),
        (way.end[0] >= way.at[1][0] - 0.1, "hook to the left"),
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
        told, bowl = _stem(first, top, foot), ink.ways[1]
        stem = first.line
    else:
        if first.word not in ("DUD", "DUDU"):
            return f"goes {first.word}"
        stem = first.until(1)
        told = _stem(Way(stem), top, foot)
        bowl = Way(first.after(1))
    if told or bowl.word not in ("UDU", "UD", "D", "DU"):
        return told or f"bowl goes {bowl.word}"
    lowest = bowl.line[int(np.argmax(bowl.line[:, 1])) if len(ink.ways) == 2 else int(bowl.turns[2])]
    return _first(
        (turns_left(bowl.line) < -TURNED, "bowl not clockwise"),
        (-1.4 <= bowl.low[1] <= -0.6, "bowl too high or low"),
        (abs(float(lowest[1]) - base) <= 0.4, "bowl not down to the base line"),
        (_apart(bowl.start, stem) <= LEAD, "bowl not begun at the stem"),
        (bowl.high[0] - stem[:, 0].mean() >= 0.2, "bowl not at the right"),
        (_apart(bowl.end, stem) <= CLOSED, "gap"),
        (len(ink.ways) == 1 or bowl.start[1] <= bowl.middle[1] + 0.1, "bowl begun low"),
    )


def _c(ink: Drawn) -> str:
    """Curve up and left, anticlockwise to the base line, stop at the lower right, open."""
    way = ink.ways[0]
    return _first(
        (way.word in ("D", "DU"), f"goes {way.word}"),
        (turns_left(way.line) > TURNED, "not anticlockwise"),
        (_level(way.start, -1), "start"),
        (way.start[0] - way.low[0] >= 0.4 * way.width, "start at the left"),
        (way.end[1] >= -0.5, "ends high"),
        (way.end[0] >= way.middle[0], "ends at the left"),
        (way.end[1] - way.start[1] >= 0.25, "closed"),
    )


def _e(ink: Drawn) -> str:
    """From half x-height at the left, right; up and over anticlockwise, round to the base line; open.

    The bar may rise slightly, and start at the middle: then it is short.
    """
    way = ink.ways[0]
    raised = way.turns[1] if len(way.turns) > 2 else 0
    return _first(
        (way.word in ("UD", "UDU", "D", "DU"), f"goes {way.word}"),
        (-0.85 <= way.start[1] <= -0.2, "start"),
        (way.start[0] <= way.middle[0], "start at the right"),
        (turns_left(way.line) > TURNED, "not anticlockwise"),
        (raised > 0 and way.line[:raised, 0].max() - way.start[0] >= 0.2 * way.width, "no bar first"),
        (way.end[1] >= way.start[1] - 0.1, "closed"),
        (way.end[0] >= way.middle[0], "ends at the left"),
    )


def _f(ink: Drawn) -> str:
    """Curve left over the top, straight down; then the bar, left to right. One pen with loop or retrace."""
    way = ink.ways[0]
    highest = int(np.argmin(way.line[:, 1]))
    lowest = highest + int(np.argmax(way.line[highest:, 1]))
    stem = Way(way.line[highest : lowest + 1])
    x = float(np.median(stem.line[len(stem.line) // 3 :, 0]))
    told = _first(
        (lowest > highest, "no stem"),
        (way.start[1] - way.low[1] <= LEAD, "start"),
        (way.start[0] - x >= 0.05, "hook to the left"),
        (stem.height >= 0.85 * way.height, "no stem"),
        (_straight(stem.line, 0.85), "stem bent"),
    )
    if told:
        return told
    if len(ink.ways) == 2:
        lower = way.line[(highest + lowest) // 2 : lowest + 1]
        plain = _first(
            (length(way.line[lowest:]) <= 0.25, "foot hooked"),
            (_straight(lower, 0.95), "foot bent"),
        )
        return plain or _bar(ink.ways[1], stem, -1.6, -0.4)
    tail = way.line[lowest:]
    last = tail[-len(tail) // 4 :] if len(tail) >= 8 else tail
    return _first(
        (len(tail) >= 8, "bar missing"),
        (-1.6 <= way.end[1] <= -0.4, "bar too high or low"),
        (way.end[0] - x >= 0.15, "bar missing"),
        (tail[:, 0].min() <= x - 0.1, "bar not across"),
        (abs(last[-1, 1] - last[0, 1]) <= abs(last[-1, 0] - last[0, 0]), "bar not level"),
    )


def _h(ink: Drawn) -> str:
    """Down, back up to the x-height line, over clockwise, down; or stem, arch. Exit flick."""
    return _arched(ink, -2, -1.4, -0.6)


def _n(ink: Drawn) -> str:
    """Down, back up, over clockwise, down; or two pens."""
    return _arched(ink, -1, -1.3, -0.7)


def _arched(ink: Drawn, top: float, arch_high: float, arch_low: float) -> str:
    words = [way.word for way in ink.ways]
    first = ink.ways[0]
    if len(ink.ways) == 2:
        arch = ink.ways[1]
        if words[0] != "D" or words[1] not in ("UD", "UDU", "D", "DU"):
            return f"goes {' '.join(words)}"
        stem = first
    else:
        if words[0] not in ("DUD", "DUDU"):
            return f"goes {words[0]}"
        stem, arch = Way(first.until(1)), Way(first.after(1))
    peak = arch.line[int(np.argmin(arch.line[:, 1]))]
    foot = arch.line[int(np.argmax(arch.line[:, 1] + np.linspace(0, 1e-6, len(arch.line)))) :]
    flicked = arch.word.endswith("U")
    return _stem(stem, top, 0) or _first(
        (arch_high <= peak[1] <= arch_low, "arch too high or low"),
        (_apart(arch.start, stem.line) <= LEAD, "arch not begun at the stem"),
        (arch.high[0] - stem.line[:, 0].mean() >= 0.2, "arch not at the right"),
        (_level(arch.at[-2 if flicked else -1], 0), "arch not down to the base line"),
        (turns_left(arch.line) < 0, "arch not clockwise"),
        (not flicked or arch.at[-2][1] - arch.at[-1][1] <= FLICK, "exit too high"),
        (len(foot) > 0 and arch.end[0] >= arch.middle[0], "ends at the left"),
    )


def _m(ink: Drawn) -> str:
    """Down, back up, over, down, back up, over, down; two or three pens, lifted where it is retraced."""
    word = " ".join(way.word for way in ink.ways)
    base = word[:-1] if word.endswith("DU") else word
    parts = base.split(" ")
    whole = parts[0] + "".join(part if part.startswith("U") else "U" + part for part in parts[1:])
    lifted = all(part.endswith("D") for part in parts)
    peaks = [way.at[k] for way in ink.ways for k, swing in enumerate(way.word) if swing == "D"]
    ends = [way.at[k + 1] for way in ink.ways for k, swing in enumerate(way.word) if swing == "D"]
    last = ink.ways[-1]
    return _first(
        (whole == "DUDUD" and lifted, f"goes {word}"),
        (_level(ink.ways[0].start, -1), "start"),
        (_begun(ink.ways[0]), "led in from the side"),
        (all(_level(point, 0) for point in ends), "not down to the base line"),
        (all(_level(point, -1) for point in peaks), "arches too low"),
        (all(b[0] > a[0] for a, b in pairwise(peaks)), "arches not to the right"),
        (base == word or last.at[-2][1] - last.at[-1][1] <= FLICK, "exit too high"),
        (_straight(ink.ways[0].swing(0)), "stem bent"),
    )


def _i(ink: Drawn) -> str:
    """Down to the base line, then the dot above. Exit flick; the dot is any small mark."""
    return _dotted(ink) or _flicked(ink.ways[0], -1, 0)


def _j(ink: Drawn) -> str:
    """Down through the base line, hook left; then the dot. Straight tail."""
    body = ink.ways[0]
    told = _dotted(ink) or _first(
        (_level(body.start, -1), "start"), (body.word in ("D", "DU"), f"goes {body.word}")
    )
    if told:
        return told
    return _hooked(ink) or _first(
        (body.word == "D" or body.at[1][1] - body.at[2][1] <= 1.0, "tail looped"),
        (_unlooped(body), "tail looped"),
        (_begun(body), "led in from the side"),
    )


def _dotted(ink: Drawn) -> str:
    body, dot = ink.ways
    return _first(
        (body.length > dot.length, "dot first"),
        (ink.dots[1], "dot too large"),
        (dot.middle[1] <= ink.top, "dot not above"),
    )


def _k(ink: Drawn) -> str:
    """Stem; then from the x-height line at the right in to the stem and out. Three pens; or one, looped."""
    first = ink.ways[0]
    if len(ink.ways) == 1:
        if first.word[:3] != "DUD":
            return f"goes {first.word}"
        stem, rest = Way(first.until(1)), first.after(1)
        arm = _after_first_right(rest)
        if arm is None:
            return "no arm"
        joined = arm
        begin = float(arm[0, 1])
    else:
        stem = first
        if len(ink.ways) == 3:
            arm_way, leg = ink.ways[1], ink.ways[2]
            told = _first(
                (arm_way.end[0] < arm_way.start[0], "arm outward"),
                (leg.end[0] > leg.start[0] and leg.end[1] > leg.start[1], "leg inward"),
            )
            if told:
                return told
        joined = np.vstack([way.line for way in ink.ways[1:]])
        begin = float(joined[0, 1])
    x = float(stem.line[:, 0].mean())
    inmost = int(np.argmin(joined[:, 0]))
    return _stem(stem, -2, 0) or _first(
        (-1.5 <= begin <= -0.6, "arm begun too high or low"),
        (joined[0, 0] - x >= 0.2, "arm not begun at the right"),
        (_apart(joined[inmost], stem.line) <= 0.4, "arm not in to the stem"),
        (joined[inmost, 1] > joined[0, 1] + 0.1, "arm not downward"),
        (joined[-1, 0] - joined[inmost, 0] >= 0.25, "leg not to the right"),
        (joined[-1, 1] - joined[inmost, 1] >= 0.2, "leg not downward"),
        (_level(joined[-1], 0, 0.4), "leg not down to the base line"),
    )


def _after_first_right(line: Polyline) -> Polyline | None:
    """From the outermost place of the arm onward: where the pen first turns back to the left."""
    turns = pivots(line[:, 0], 0.12)
    for index in turns[:-1]:
        after = line[index:]
        if index and after[1:, 0].min(initial=np.inf) < line[index, 0] - 0.12:
            return after
    return None


def _l(ink: Drawn) -> str:
    """Down to the base line. A curved exit to the right."""
    return _flicked(ink.ways[0], -2, 0)


def _o(ink: Drawn) -> str:
    """From twelve to two o'clock anticlockwise all the way round, closed."""
    way = ink.ways[0]
    gap = float(np.hypot(*(way.end - way.start)))
    return _first(
        (turns_left(way.line) > 0.5, "not anticlockwise"),
        (_apart(way.start, _clock(way, 0, 60)) <= LEAD, "start"),
        (gap <= CLOSED or _gap(way.line) <= 0.15, "gap"),
        (gap <= 0.45, "tail"),
    )


def _clock(way: Way, first: float, last: float) -> Polyline:
    """Points of the rim of its box's ellipse, from and to degrees clockwise of twelve o'clock."""
    turn = np.radians(np.linspace(first, last, 13))
    half = np.array([way.width, way.height]) / 2
    rim: Polyline = way.middle + half * np.column_stack([np.sin(turn), -np.cos(turn)])
    return rim


def _r(ink: Drawn) -> str:
    """Down, back up, over clockwise, stop just below the x-height line at the right; two pens."""
    words = [way.word for way in ink.ways]
    first = ink.ways[0]
    if len(ink.ways) == 2:
        stem, arm = first, ink.ways[1]
        if words[0] != "D" or words[1] not in ("U", "UD", "D", ""):
            return f"goes {' '.join(words)}"
    else:
        if words[0] not in ("DU", "DUD"):
            return f"goes {words[0]}"
        stem, arm = Way(first.until(1)), Way(first.after(1))
    x = float(stem.line[:, 0].mean())
    return _stem(stem, -1, 0) or _first(
        (_level(arm.low, -1), "arm too low"),
        (arm.end[1] <= -0.5, "arm comes down"),
        (arm.end[0] - x >= 0.2, "arm not at the right"),
        (_apart(arm.start, stem.line) <= LEAD, "arm not begun at the stem"),
        (len(ink.ways) == 2 or _retraced(arm, x), "no retrace"),
    )


def _retraced(arm: Way, x: float) -> bool:
    """Half way up the pen is still nearer to the stem than to the end of the arm."""
    half = arm.line[int(np.argmax(arm.line[:, 1] <= -0.5))]
    return bool(half[0] - x <= 0.5 * (arm.high[0] - x))


def _s(ink: Drawn) -> str:
    """Curve left anticlockwise to the middle, change to clockwise, finish at the base line at the left."""
    way = ink.ways[0]
    swings = way.sideways(0.1)
    return _first(
        (way.word in ("D", "DU"), f"goes {way.word}"),
        (_level(way.start, -1), "start"),
        (_level(way.end, 0, 0.4), "end"),
        ("LRL" in swings and len(swings) <= 5, f"goes {swings}"),
        (way.start[0] >= way.middle[0] - 0.1 * way.width, "start at the left"),
        (way.end[0] <= way.middle[0], "ends at the right"),
    )


def _t(ink: Drawn) -> str:
    """Down to the base line; then the bar from left to right. A curved foot."""
    stem, bar = ink.ways
    return _flicked(stem, -1.5, 0, wide=WIDE) or _bar(bar, stem, -1.4, -0.6)


def _u(ink: Drawn) -> str:
    """Down, round at the base line, up, down. No last line down; two pens."""
    words = [way.word for way in ink.ways]
    first = ink.ways[0]
    if len(ink.ways) == 2:
        if words[0] != "DU":
            return f"goes {' '.join(words)}"
        told = _flicked(ink.ways[1], -1, 0)
        if told:
            return told
    elif words[0] not in ("DU", "DUD", "DUDU"):
        return f"goes {words[0]}"
    return _cup(first, -1) or _first(
        (words[0] != "DUDU" or first.at[3][1] - first.at[4][1] <= FLICK, "exit too high"),
        (len(words[0]) < 3 or _level(first.at[3], 0), "last line ends"),
    )


def _cup(way: Way, top: float) -> str:
    cup = way.until(2)
    return _first(
        (_level(way.start, top), "start"),
        (_begun(way), "led in from the side"),
        (_level(way.at[2], top, 0.4), "cup not brought up"),
        (turns_left(cup) > TURNED, "cup not anticlockwise"),
        (way.at[2][0] - way.start[0] >= 0.3, "not to the right"),
    )


def _v(ink: Drawn) -> str:
    """Slant down-right, slant up-right. Two pens, both downward."""
    words = [way.word for way in ink.ways]
    first, last = ink.ways[0], ink.ways[-1]
    if words not in (["DU"], ["D", "D"]):
        return f"goes {' '.join(words)}"
    foot = first.at[1]
    right = last.start if len(words) == 2 else last.end
    return _first(
        (_level(first.start, -1), "start"),
        (_level(right, -1), "right side too low"),
        (_level(foot, 0), "no point"),
        (_begun(first), "led in from the side"),
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
    return _first(
        (_level(ink.ways[0].start, -1), "start"),
        (_level(tops[1], -1, 0.4), "right side too low"),
        (all(_level(foot, 0) for foot in feet), "feet too high"),
        (middle[1] <= -0.35, "middle too low"),
        (_begun(ink.ways[0]), "led in from the side"),
        (feet[0][0] < feet[1][0] < tops[1][0] + SIDE, "not to the right"),
        (tops[0][0] - SIDE < feet[0][0] < tops[1][0], "not to the right"),
        (tops[0][0] < middle[0] < tops[1][0], "not to the right"),
    )


def _x(ink: Drawn) -> str:
    """Slant down-right; from the right, slant down-left. The other slant first."""
    words = [way.word for way in ink.ways]
    leans = [float(way.end[0] - way.start[0]) for way in ink.ways]
    return _first(
        (words == ["D", "D"], f"goes {' '.join(words)}"),
        (all(_level(way.start, -1) for way in ink.ways), "start"),
        (all(_level(way.end, 0, 0.4) for way in ink.ways), "ends"),
        (leans[0] * leans[1] < 0 and min(map(abs, leans)) > 0.2, "not two slants"),
        (all(_begun(way) for way in ink.ways), "led in from the side"),
        (all(_plain(way.swing(0)) for way in ink.ways), "bent"),
    )


def _y(ink: Drawn) -> str:
    """Short slant down-right; from the right, long slant down-left. Or curved: as u, then down, hook left."""
    words = [way.word for way in ink.ways]
    first, last = ink.ways[0], ink.ways[-1]
    start = _first((_level(first.start, -1), "start"))
    if start:
        return start
    if words == ["D", "D"]:
        return _first(
            (_level(last.start, -1, 0.4), "long slant begun low"),
            (last.start[0] > first.start[0] + 0.2, "long slant at the left"),
            (last.end[0] < last.start[0], "long slant to the right"),
            (-0.7 <= first.end[1] <= 0.5, "short slant too long"),
            (first.end[0] > first.start[0], "short slant to the left"),
            (_level(last.end, 1), "no tail"),
        )
    if words in (["DUD"], ["DUDU"]):
        cup, tail = first, Way(first.after(2))
    elif words in (["DU", "D"], ["DU", "DU"]):
        cup, tail = first, last
    else:
        return f"goes {' '.join(words)}"
    told = _cup(cup, -1) or _hooked(Drawn("y", (tail,), (False,)))
    return told or _first(
        (-0.6 <= cup.at[1][1] <= 0.5, "cup too deep"),
        (_level(tail.line[0], -1, 0.4), "tail begun low"),
        (_level(tail.high, 1), "no tail"),
        (tail.word == "D" or tail.at[1][1] - tail.at[2][1] <= 1.0, "tail looped"),
        (_unlooped(tail), "tail looped"),
        (tail.end[0] <= tail.line[0, 0] + 0.05, "tail to the right"),
    )


def _z(ink: Drawn) -> str:
    """Right, slant down-left, right. A short bar through the middle."""
    way = ink.ways[0]
    told = _first(
        (way.word in ("D", "DU", "DUD"), f"goes {way.word}"),
        (way.sideways() in ("RLR", "RLRL"), f"goes {way.sideways()}"),
        (_level(way.start, -1), "start"),
        (way.start[0] <= way.middle[0], "start at the right"),
        (way.end[1] >= -0.4, "end"),
        (way.end[0] >= way.middle[0], "ends at the left"),
    )
    if told or len(ink.ways) == 1:
        return told
    return _first((ink.ways[1].width < way.width + 0.1, "bar too long")) or _bar(ink.ways[1], way, -0.8, -0.2)


RULES: dict[str, Rule] = {
    "a": _a,
    "b": _b,
    "c": _c,
    "d": _d,
    "e": _e,
    "f": _f,
    "g": _g,
    "h": _h,
    "i": _i,
    "j": _j,
    "k": _k,
    "l": _l,
    "m": _m,
    "n": _n,
    "o": _o,
    "p": _p,
    "q": _q,
    "r": _r,
    "s": _s,
    "t": _t,
    "u": _u,
    "v": _v,
    "w": _w,
    "x": _x,
    "y": _y,
    "z": _z,
}
