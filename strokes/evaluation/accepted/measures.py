"""What the table measures of a letter's parts, by name and with the unit.

y is 0 at the base line and -1 at the x-height line. A foot or a top is an extremum of the part.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from typing import Any, NamedTuple

import numpy as np

from strokes.evaluation.trace_shape import TraceShape, anticlockwise, turning_points
from strokes.polyline import Floats, Polyline, length


class Measure(NamedTuple):
    """A function of the shapes of one or more parts, and the unit of the amount that it gives."""

    unit: str
    of: Callable[..., Any]


STEEP = 1.2
"""A line that is not more than so many times as tall as wide, top to foot, is no straight stem."""

UPPER = 0.6
"""The share of a stem, from the top, that must be straight where its foot may be curved."""

CROSSED = 0.15
"""An o is closed where its end passes its start at no more than this, in x-heights."""

LEFT = 0.1
"""An s begins no further left of its middle than this, as a share of its width."""

CURVED = 0.15
"""A first curve of a 2 or 3 runs to the right and back by more than this, in x-heights."""

ASIDE, BELOW = 0.12, 0.3
"""How far inward of its right edge, and below its top, the curve of a 9 begins, in x-heights."""

BAND = 0.12
"""The width of a v or V is taken within this of 0.2 and of 0.85 of its height, as a share of its height."""


def straightness(line: Polyline) -> float:
    """The distance from the highest to the lowest point, as a share of the length between; 0 if not STEEP."""
    first, last = sorted((int(np.argmin(line[:, 1])), int(np.argmax(line[:, 1]))))
    core = line[first : last + 1]
    chord = core[-1] - core[0]
    return float(np.hypot(*chord)) / length(core) if abs(chord[1]) > STEEP * abs(chord[0]) else 0.0


def upper(line: Polyline) -> Polyline:
    """The UPPER part of a line down."""
    part: Polyline = line[line[:, 1] <= line[0, 1] + UPPER * (line[-1, 1] - line[0, 1])]
    return part


def lead_in(part: TraceShape) -> float:
    """How far to the side of the top of its first segment a part starts."""
    first = part.before(1)
    return abs(float(first[int(np.argmin(first[:, 1])), 0] - part.start[0]))


def apart(point: Polyline, line: Polyline) -> float:
    """From a point to the nearest point of a line."""
    rest = line - point
    return float(np.hypot(rest[:, 0], rest[:, 1]).min())


def gap(part: TraceShape) -> float:
    """From the start to the nearest point of the last third."""
    return apart(part.start, part.line[2 * len(part.line) // 3 :])


def ring_from_side(part: TraceShape) -> float:
    """From what follows the top of the ring of a 6 to its side, the way down from its start to its foot."""
    side = part.before(1)
    return min(apart(point, side) for point in part.after(2))


def ends_apart(part: TraceShape) -> float:
    """From start to end."""
    return float(np.hypot(*(part.end - part.start)))


def rim_from_twelve(part: TraceShape, hours: float) -> Polyline:
    """The ellipse in its box from twelve o'clock to so many hours later."""
    turn = np.radians(np.linspace(0, 30 * hours, 13))
    half = np.array([part.width, part.height]) / 2
    rim: Polyline = part.middle + half * np.column_stack([np.sin(turn), -np.cos(turn)])
    return rim


def from_lowest(part: TraceShape) -> Floats:
    """x from the lowest point on."""
    return part.line[int(np.argmax(part.line[:, 1])) :, 0]


def tail_aside(part: TraceShape) -> float:
    """How far the lowest point is to the right of where the first half of the tail points to."""
    half = part.line[max(1, int(np.argmax(part.line[:, 1])) // 2)]
    return float(from_lowest(part)[0] - (2 * half[0] - part.start[0]))


def beside(bar: TraceShape, stem: TraceShape) -> float:
    """How far the stem, at the height of the bar, is beyond the ends of the bar."""
    x = stem.line[np.argmin(abs(stem.line[:, 1] - bar.middle[1])), 0]
    return float(max(bar.low[0] - x, x - bar.high[0]))


def bar_before_turn(part: TraceShape) -> float:
    """How far it first goes right while it rises, as a share of its width; 0 where it does not rise first."""
    rise = part.turns[1] if len(part.turns) > 2 else 0
    return float(part.line[:rise, 0].max() - part.start[0]) / part.width if rise else 0.0


def retrace(arm: TraceShape, stem: TraceShape) -> float:
    """How far from the stem the arm is half way up, as a share of how far its right edge is."""
    half = arm.line[int(np.argmax(arm.line[:, 1] <= -0.5))]
    return float((half[0] - mean_x(stem)) / (arm.high[0] - mean_x(stem)))


def slope(part: TraceShape) -> float:
    """How much further up or down than to the side the last quarter goes."""
    side, rise = abs(part.line[-1] - part.line[-len(part.line) // 4 :][0])
    return float(rise - side)


def mean_x(part: TraceShape) -> float:
    """The mean of x."""
    return float(part.line[:, 0].mean())


def lean(part: TraceShape) -> float:
    """How far the end is to the right of the start."""
    return float(part.end[0] - part.start[0])


def taper(*traces: TraceShape, height: float = 1.0) -> float:
    """The width near the base line, as a share of that near the top of a letter of this height."""
    line = np.concatenate([shape.line for shape in traces])
    low, high = (line[abs(line[:, 1] / height + above) < BAND, 0] for above in (0.2, 0.85))
    return float(np.ptp(low) / np.ptp(high)) if len(low) else 0.0


def opposite_slants(first: TraceShape, second: TraceShape) -> float:
    """How far to the side the less slanting of two slants goes; 0 where both slant the same way."""
    return min(abs(lean(first)), abs(lean(second))) if lean(first) * lean(second) < 0 else 0.0


def downward(traces: tuple[TraceShape, ...], end: int) -> Polyline:
    """The starts (0) or the ends (1) of all segments down."""
    points = [
        shape.extrema[index + end]
        for shape in traces
        for index, direction in enumerate(shape.directions)
        if direction == "D"
    ]
    return np.array(points)


def zigzag(*traces: TraceShape) -> tuple[float, ...]:
    """x of a w: left top, left foot, middle, right foot, right top."""
    feet = np.concatenate([shape.extrema[1::2] for shape in traces])[:, 0]
    return traces[0].extrema[0, 0], feet[0], traces[0].extrema[2, 0], feet[1], traces[-1].extrema[-1, 0]


def feet_inward(*traces: TraceShape) -> Floats:
    """How far each foot of a w is inward of the top on its side."""
    left, left_foot, _, right_foot, right = zigzag(*traces)
    return np.array([left_foot - left, right - right_foot])


def zigzag_rightward(*traces: TraceShape) -> Floats:
    """From foot to foot, from left foot to right top, and from top to top over the middle, to the right."""
    left, left_foot, middle, right_foot, right = zigzag(*traces)
    return np.array([right_foot - left_foot, right - left_foot, middle - left, right - middle])


def valley(*traces: TraceShape) -> float:
    """How far the valley before the last stem down is below the lower of the tops beside it."""
    before, foot, after = traces[-1].extrema[-4:-1, 1]
    return float(foot - max(before, after))


def slant_in_two(part: TraceShape) -> float:
    """How far down it goes from its rightmost point on."""
    return float(part.end[1] - part.line[int(np.argmax(part.line[:, 0])), 1])


def sense_of_upper_part(part: TraceShape) -> float:
    """How much it encloses anticlockwise before it first comes below its middle."""
    below = np.flatnonzero(part.line[:, 1] > part.middle[1])
    return anticlockwise(part.line[: int(below[0])]) if len(below) and below[0] > 2 else 0.0


def first_curve(part: TraceShape) -> Polyline:
    """What comes before it turns to the right once more: of a 2 all but its foot, of a 3 its upper bowl."""
    x = part.line[:, 0]
    turns = turning_points(x, CURVED)
    right = 0 if x[turns[1]] > x[turns[0]] else 1
    return part.line[: turns[min(right + 2, len(turns) - 1)] + 1]


def start_in_first_curve(part: TraceShape) -> float:
    """How far from the left of its first curve it starts, as a share of that curve's width."""
    x = first_curve(part)[:, 0]
    return float((part.start[0] - x.min()) / (np.ptp(x) or 1.0))


def start_from_middle_of_upper_half(part: TraceShape) -> float:
    """How far it starts to the right of the middle of what lies above its own middle."""
    x = part.line[part.line[:, 1] <= part.middle[1], 0]
    return float(part.start[0] - (x.min() + x.max()) / 2)


XH, BOX, LENGTH, WIDTH, HEIGHT = "x-heights", "of its box", "of its length", "of its width", "of its height"

MEASURES: Mapping[str, Measure] = {
    "start y": Measure(XH, lambda part: part.start[1]),
    "end y": Measure(XH, lambda part: part.end[1]),
    "top y": Measure(XH, lambda part: part.low[1]),
    "middle y": Measure(XH, lambda part: part.middle[1]),
    "bottom y": Measure(XH, lambda part: part.high[1]),
    "first foot y": Measure(XH, lambda part: part.extrema[1][1]),
    "second top y": Measure(XH, lambda part: part.extrema[2][1]),
    "foot after the retrace y": Measure(XH, lambda part: part.line[part.turns[2], 1]),
    "last foot y": Measure(XH, lambda part: part.extrema[-2 if part.directions[-1:] == "U" else -1][1]),
    "right top y": Measure(XH, lambda *traces: traces[-1].extrema[-1][1]),
    "feet y": Measure(XH, lambda *traces: downward(traces, 1)[:, 1]),
    "tops y": Measure(XH, lambda *traces: downward(traces, 0)[:, 1]),
    "width": Measure(XH, lambda part: part.width),
    "height": Measure(XH, lambda part: part.height),
    "size": Measure(XH, lambda part: max(part.width, part.height)),
    "length": Measure(XH, lambda part: part.length),
    "points": Measure("of 64 points", lambda part: len(part.line)),
    "flatness": Measure(XH, lambda part: part.width - part.height),
    "wider": Measure(XH, lambda part, other: part.width - other.width),
    "longer": Measure(XH, lambda part, other: part.length - other.length),
    "relative height": Measure("of the other's height", lambda part, other: part.height / other.height),
    "sense": Measure(BOX, lambda part: anticlockwise(part.line)),
    "sense of the cup": Measure(BOX, lambda part: anticlockwise(part.before(2))),
    "width of the cup": Measure(XH, lambda part: part.extrema[2][0] - part.start[0]),
    "lead-in": Measure(XH, lead_in),
    "straightness": Measure(LENGTH, lambda part: straightness(part.line)),
    "straightness of the stem": Measure(LENGTH, lambda part: straightness(part.segment(0))),
    "straightness of the upper stem": Measure(LENGTH, lambda part: straightness(upper(part.segment(0)))),
    "straightness of the lower half": Measure(
        LENGTH, lambda part: straightness(part.line[(len(part.line) - 1) // 2 :])
    ),
    "straightness of the slant": Measure(
        LENGTH, lambda part: np.hypot(*(part.segment(0)[-1] - part.segment(0)[0])) / length(part.segment(0))
    ),
    "to the right": Measure(XH, lean),
    "downward": Measure(XH, lambda part: part.end[1] - part.start[1]),
    "advance": Measure(WIDTH, lambda part: abs(lean(part)) / part.width),
    "levelness": Measure(
        XH, lambda part: part.width - min(1.5 * part.height, 2 * abs(part.end[1] - part.start[1]))
    ),
    "slope of the last quarter": Measure(XH, slope),
    "start from the left": Measure(WIDTH, lambda part: (part.start[0] - part.low[0]) / part.width),
    "end from the left": Measure(WIDTH, lambda part: (part.end[0] - part.low[0]) / part.width),
    "start from the highest": Measure(
        XH, lambda part: part.start[0] - part.line[int(np.argmin(part.line[:, 1])), 0]
    ),
    "start from the middle of its upper half": Measure(XH, start_from_middle_of_upper_half),
    "start from the left of its first curve": Measure(WIDTH, start_in_first_curve),
    "start from the middle": Measure(XH, lambda part: part.start[0] - part.middle[0]),
    "start from left of the middle": Measure(
        XH, lambda part: part.start[0] - (part.middle[0] - LEFT * part.width)
    ),
    "start below the middle": Measure(XH, lambda part: part.start[1] - part.middle[1]),
    "start below the top": Measure(HEIGHT, lambda part: (part.start[1] - part.low[1]) / part.height),
    "start under the top": Measure(XH, lambda part: part.start[1] - part.low[1]),
    "start from twelve to two o'clock": Measure(XH, lambda part: apart(part.start, rim_from_twelve(part, 2))),
    "start from half past twelve": Measure(
        XH, lambda part: apart(part.start, rim_from_twelve(part, 0.5)[-1:])
    ),
    "start from the upper right": Measure(
        XH, lambda part: np.hypot(part.high[0] - ASIDE - part.start[0], part.start[1] - part.low[1] - BELOW)
    ),
    "end below the top": Measure(HEIGHT, lambda part: (part.end[1] - part.low[1]) / part.height),
    "end from the middle": Measure(XH, lambda part: part.end[0] - part.middle[0]),
    "end from the start": Measure(XH, ends_apart),
    "gap": Measure(HEIGHT, lambda part: gap(part) / part.height),
    "ring from the side": Measure(XH, ring_from_side),
    "opening": Measure(XH, lambda part: 0.0 if gap(part) <= CROSSED else ends_apart(part)),
    "first foot right of the start": Measure(XH, lambda part: part.extrema[1][0] - part.start[0]),
    "sense of the upper part": Measure(BOX, sense_of_upper_part),
    "right edge right of the end": Measure(XH, lambda part: part.high[0] - part.end[0]),
    "end from the right top": Measure(XH, lambda part: part.end[0] - part.extrema[2][0]),
    "exit rise": Measure(
        XH, lambda part: part.extrema[1][1] - part.extrema[2][1] if len(part.directions) > 1 else 0.0
    ),
    "last rise": Measure(
        XH,
        lambda *traces: (
            traces[-1].extrema[-2][1] - traces[-1].extrema[-1][1]
            if traces[-1].directions[-1:] == "U"
            else 0.0
        ),
    ),
    "exit width": Measure(XH, lambda part: part.end[0] - part.segment(0)[:, 0].min()),
    "exit to the right": Measure(XH, lambda part: part.end[0] - part.extrema[1][0]),
    "tail aside": Measure(XH, tail_aside),
    "hook to the left": Measure(
        XH, lambda part: np.inf if part.directions == "D" else from_lowest(part)[0] - from_lowest(part).min()
    ),
    "return of the hook": Measure(XH, lambda part: from_lowest(part)[-1] - from_lowest(part).min()),
    "bar before the turn": Measure(WIDTH, bar_before_turn),
    "beside": Measure(XH, beside),
    "start from": Measure(XH, lambda part, other: apart(part.start, other.line)),
    "end from": Measure(XH, lambda part, other: apart(part.end, other.line)),
    "start right of": Measure(XH, lambda part, other: part.start[0] - mean_x(other)),
    "end right of": Measure(XH, lambda part, other: part.end[0] - mean_x(other)),
    "left edge right of": Measure(XH, lambda part, other: part.low[0] - mean_x(other)),
    "right edge right of": Measure(XH, lambda part, other: part.high[0] - mean_x(other)),
    "start right of the start": Measure(XH, lambda part, other: part.start[0] - other.start[0]),
    "start right of the foot": Measure(XH, lambda part, other: part.start[0] - other.extrema[1][0]),
    "retrace": Measure("of the arm's width", retrace),
    "taper": Measure("of the upper width", taper),
    "taper of a tall letter": Measure("of the upper width", lambda *traces: taper(*traces, height=2.0)),
    "valley": Measure(XH, valley),
    "end of all y": Measure(XH, lambda *traces: traces[-1].extrema[-1][1]),
    "foot before the rise y": Measure(XH, lambda *traces: traces[-1].extrema[-2][1]),
    "slant to the right": Measure(XH, lambda *traces: traces[-1].extrema[-2][0] - traces[-1].extrema[-3][0]),
    "last tops to the right": Measure(XH, lambda *traces: np.diff(downward(traces, 0)[-2:, 0])),
    "last part downward": Measure(XH, slant_in_two),
    "opposite slants": Measure(XH, opposite_slants),
    "tops to the right": Measure(XH, lambda *traces: np.diff(downward(traces, 0)[:, 0])),
    "feet inward": Measure(XH, feet_inward),
    "zigzag to the right": Measure(XH, zigzag_rightward),
}
"""Amounts of the parts named in a rule; of several traces some are arrays, all of which must be accepted."""
