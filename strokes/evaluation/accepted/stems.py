"""Letters of one stem with what stands on it, beside it or above it: f i j k l t, and h m n r with arches."""

from __future__ import annotations

from itertools import pairwise

import numpy as np

from strokes.evaluation.accepted.parts import (
    FLICK,
    WIDE,
    Rule,
    apart,
    begun,
    crossbar,
    flicked_stem,
    hooked_tail,
    level,
    plain_stem,
    reason,
    straight,
    unlooped,
)
from strokes.evaluation.trace_shape import LEAD, Drawn, Way, pivots, turns_left
from strokes.polyline import Polyline, length


def _l(ink: Drawn) -> str:
    """Down to the base line. A curved exit to the right."""
    return flicked_stem(ink.ways[0], -2, 0)


def _t(ink: Drawn) -> str:
    """Down to the base line; then the bar from left to right. A curved foot."""
    stem, bar = ink.ways
    return flicked_stem(stem, -1.5, 0, wide=WIDE) or crossbar(bar, stem, -1.4, -0.6)


def _i(ink: Drawn) -> str:
    """Down to the base line, then the dot above. Exit flick; the dot is any small mark."""
    return _dotted(ink) or flicked_stem(ink.ways[0], -1, 0)


def _j(ink: Drawn) -> str:
    """Down through the base line, hook left; then the dot. Straight tail."""
    body = ink.ways[0]
    told = _dotted(ink) or reason(
        (level(body.start, -1), "start"), (body.word in ("D", "DU"), f"goes {body.word}")
    )
    if told:
        return told
    return hooked_tail(ink) or reason(
        (body.word == "D" or body.at[1][1] - body.at[2][1] <= 1.0, "tail looped"),
        (unlooped(body), "tail looped"),
        (begun(body), "led in from the side"),
    )


def _dotted(ink: Drawn) -> str:
    body, dot = ink.ways
    return reason(
        (body.length > dot.length, "dot first"),
        (ink.dots[1], "dot too large"),
        (dot.middle[1] <= ink.top, "dot not above"),
    )


def _f(ink: Drawn) -> str:
    """Curve left over the top, straight down; then the bar, left to right. One pen with loop or retrace."""
    way = ink.ways[0]
    highest = int(np.argmin(way.line[:, 1]))
    lowest = highest + int(np.argmax(way.line[highest:, 1]))
    stem = Way(way.line[highest : lowest + 1])
    x = float(np.median(stem.line[len(stem.line) // 3 :, 0]))
    told = reason(
        (lowest > highest, "no stem"),
        (way.start[1] - way.low[1] <= LEAD, "start"),
        (way.start[0] - x >= 0.05, "hook to the left"),
        (stem.height >= 0.85 * way.height, "no stem"),
        (straight(stem.line, 0.85), "stem bent"),
    )
    if told:
        return told
    if len(ink.ways) == 2:
        lower = way.line[(highest + lowest) // 2 : lowest + 1]
        plain = reason(
            (length(way.line[lowest:]) <= 0.25, "foot hooked"),
            (straight(lower, 0.95), "foot bent"),
        )
        return plain or crossbar(ink.ways[1], stem, -1.6, -0.4)
    tail = way.line[lowest:]
    last = tail[-len(tail) // 4 :] if len(tail) >= 8 else tail
    return reason(
        (len(tail) >= 8, "bar missing"),
        (-1.6 <= way.end[1] <= -0.4, "bar too high or low"),
        (way.end[0] - x >= 0.15, "bar missing"),
        (tail[:, 0].min() <= x - 0.1, "bar not across"),
        (abs(last[-1, 1] - last[0, 1]) <= abs(last[-1, 0] - last[0, 0]), "bar not level"),
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
            told = reason(
                (arm_way.end[0] < arm_way.start[0], "arm outward"),
                (leg.end[0] > leg.start[0] and leg.end[1] > leg.start[1], "leg inward"),
            )
            if told:
                return told
        joined = np.vstack([way.line for way in ink.ways[1:]])
        begin = float(joined[0, 1])
    x = float(stem.line[:, 0].mean())
    inmost = int(np.argmin(joined[:, 0]))
    return plain_stem(stem, -2, 0) or reason(
        (-1.5 <= begin <= -0.6, "arm begun too high or low"),
        (joined[0, 0] - x >= 0.2, "arm not begun at the right"),
        (apart(joined[inmost], stem.line) <= 0.4, "arm not in to the stem"),
        (joined[inmost, 1] > joined[0, 1] + 0.1, "arm not downward"),
        (joined[-1, 0] - joined[inmost, 0] >= 0.25, "leg not to the right"),
        (joined[-1, 1] - joined[inmost, 1] >= 0.2, "leg not downward"),
        (level(joined[-1], 0, 0.4), "leg not down to the base line"),
    )


def _after_first_right(line: Polyline) -> Polyline | None:
    """From the outermost place of the arm onward: where the pen first turns back to the left."""
    turns = pivots(line[:, 0], 0.12)
    for index in turns[:-1]:
        after = line[index:]
        if index and after[1:, 0].min(initial=np.inf) < line[index, 0] - 0.12:
            return after
    return None


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
    return plain_stem(stem, top, 0) or reason(
        (arch_high <= peak[1] <= arch_low, "arch too high or low"),
        (apart(arch.start, stem.line) <= LEAD, "arch not begun at the stem"),
        (arch.high[0] - stem.line[:, 0].mean() >= 0.2, "arch not at the right"),
        (level(arch.at[-2 if flicked else -1], 0), "arch not down to the base line"),
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
    return reason(
        (whole == "DUDUD" and lifted, f"goes {word}"),
        (level(ink.ways[0].start, -1), "start"),
        (begun(ink.ways[0]), "led in from the side"),
        (all(level(point, 0) for point in ends), "not down to the base line"),
        (all(level(point, -1) for point in peaks), "arches too low"),
        (all(b[0] > a[0] for a, b in pairwise(peaks)), "arches not to the right"),
        (base == word or last.at[-2][1] - last.at[-1][1] <= FLICK, "exit too high"),
        (straight(ink.ways[0].swing(0)), "stem bent"),
    )


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
    return plain_stem(stem, -1, 0) or reason(
        (level(arm.low, -1), "arm too low"),
        (arm.end[1] <= -0.5, "arm comes down"),
        (arm.end[0] - x >= 0.2, "arm not at the right"),
        (apart(arm.start, stem.line) <= LEAD, "arm not begun at the stem"),
        (len(ink.ways) == 2 or _retraced(arm, x), "no retrace"),
    )


def _retraced(arm: Way, x: float) -> bool:
    """Half way up the pen is still nearer to the stem than to the end of the arm."""
    half = arm.line[int(np.argmax(arm.line[:, 1] <= -0.5))]
    return bool(half[0] - x <= 0.5 * (arm.high[0] - x))


STEMS: dict[str, Rule] = {
    "f": _f,
    "h": _h,
    "i": _i,
    "j": _j,
    "k": _k,
    "l": _l,
    "m": _m,
    "n": _n,
    "r": _r,
    "t": _t,
}
