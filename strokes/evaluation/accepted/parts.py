"""The parts of a letter: its traces, or the pieces into which they are divided."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from typing import TypeAlias

import numpy as np

from strokes.evaluation.trace_shape import TraceShape, turning_points
from strokes.polyline import Polyline

Traces: TypeAlias = tuple[TraceShape, ...]
"""The traces of one letter, in their order."""

ARM_TURN = 0.12
"""The arm of a k written in one turns back to the left by more than this, in x-heights."""


def bowl_closed_by_its_rise(traces: Traces) -> dict[str, TraceShape]:
    """A d in one: the rise closes the bowl up to the bowl's own top, and goes on to the top of the stem."""
    bowl, rise = traces[0].before(1), traces[0].segment(1)
    closed = np.vstack([bowl, rise[rise[:, 1] >= bowl[:, 1].min()]])
    return {"bowl": TraceShape(closed), "stem": TraceShape(traces[0].after(2))}


def stem_under_a_hook(traces: Traces) -> dict[str, TraceShape]:
    """An f: the stem from the highest point down, a point (`axis`) where it stands, and the `rest`."""
    line = traces[0].line
    highest = int(np.argmin(line[:, 1]))
    lowest = highest + int(np.argmax(line[highest:, 1]))
    stem = line[highest : lowest + 1]
    axis = np.array([[np.median(stem[len(stem) // 3 :, 0]), 0.0]])
    lines = {"stem": stem, "axis": axis, "rest": line[lowest:]}
    return {name: TraceShape(part) for name, part in lines.items()} | dict(
        zip(["bar"], traces[1:], strict=False)
    )


def arm_and_leg(traces: Traces) -> dict[str, TraceShape]:
    """A k: the stem, and what follows divided at its leftmost point; only a stem where no arm comes back."""
    if len(traces) == 1:
        stem, rest = traces[0].before(1), _from_the_outermost(traces[0].after(1))
    else:
        stem, rest = traces[0].line, np.vstack([trace.line for trace in traces[1:]])
    if not len(rest):
        return {"stem": TraceShape(stem)}
    inmost = int(np.argmin(rest[:, 0]))
    lines = {"stem": stem, "arm": rest[: inmost + 1], "leg": rest[inmost:]}
    return {name: TraceShape(part) for name, part in lines.items()}


def _from_the_outermost(line: Polyline) -> Polyline:
    """The line from where the pen first turns back to the left by more than ARM_TURN; empty if nowhere."""
    for index in turning_points(line[:, 0], ARM_TURN)[:-1]:
        if index and line[index + 1 :, 0].min(initial=np.inf) < line[index, 0] - ARM_TURN:
            return line[index:]
    return line[:0]


def slants_in_one(traces: Traces) -> dict[str, TraceShape]:
    """A v in one: the whole, and the second slant as it would be written downward."""
    return {"first": traces[0], "second": TraceShape(traces[0].after(1)[::-1])}


def _taller_first(traces: Traces) -> list[TraceShape]:
    return sorted(traces, key=lambda trace: trace.width - trace.height)


def stem_and_bar(traces: Traces) -> dict[str, TraceShape]:
    """A T, whichever came first: the stem is the one that is taller than wide."""
    return dict(zip(("stem", "bar"), _taller_first(traces), strict=True))


def bowl_and_bar(traces: Traces) -> dict[str, TraceShape]:
    """A 5, whichever came first: its bar is the flatter one."""
    return dict(zip(("bowl", "bar"), _taller_first(traces), strict=True))


def stems_and_bar(traces: Traces) -> dict[str, TraceShape]:
    """An H, the bar last or second; without a bar where that came first."""
    bar = max(traces, key=lambda trace: trace.width - trace.height)
    if bar is traces[0]:
        return {}
    return dict(zip(("stem", "right"), (trace for trace in traces if trace is not bar), strict=True)) | {
        "bar": bar
    }


DIVISIONS: Mapping[str, Callable[[Traces], dict[str, TraceShape]]] = {
    "bowl closed by its rise": bowl_closed_by_its_rise,
    "stem under a hook": stem_under_a_hook,
    "arm and leg": arm_and_leg,
    "slants in one": slants_in_one,
    "stem and bar": stem_and_bar,
    "bowl and bar": bowl_and_bar,
    "stems and bar": stems_and_bar,
}
"""By the name that the table has for them."""


def divided(parts: str, traces: Traces) -> dict[str, TraceShape]:
    """The parts by name, as the table says: a division, or names of traces, or of pieces `at` an extremum."""
    if parts in DIVISIONS:
        return DIVISIONS[parts](traces)
    names, _, extremum = parts.partition(" at ")
    if extremum:
        pieces = traces[0].before(int(extremum)), traces[0].after(int(extremum))
        traces = tuple(TraceShape(piece) for piece in pieces)
    return dict(zip(names.split(), traces, strict=False))
