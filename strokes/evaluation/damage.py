"""Well-formed ink, damaged in one known way: what a check must report, and by which kind.

Where the table of formations accepts the damaged ink too (x with its other slant first, z without its middle
bar), it has no fault and is not counted; that is decided by the same geometry as everywhere, never by looking
at a single sample.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from itertools import pairwise
from typing import TypeAlias

import numpy as np

from strokes.evaluation.accepted import acceptable
from strokes.evaluation.ruled import begun_later, lines_for
from strokes.evaluation.trace_shape import (
    DOT,
    POINTS,
    SEGMENT,
    START_ZONE,
    Traces,
    TraceShape,
    reach,
    turning_points,
    without_slips,
    x_height,
)
from strokes.kinds import Kind
from strokes.letter import GuideLines, set_of
from strokes.polyline import Polyline, cut, length, resample
from strokes.report import Finding


@dataclass(frozen=True, eq=False)
class Damaged:
    """Ink with one fault, or why there is none. A finding of any of `kinds` reports it rightly.

    `names` are letters that a finding of kind letter may name and be right. `guide` are lines to judge
    between, where nothing else could show the fault. `trace` is the trace that has it, where one of another
    trace is no report of it. What is not `counted` is shown but not in the sum.
    """

    fault: str
    traces: Traces = ()
    kinds: frozenset[Kind] = frozenset()
    names: frozenset[str] = frozenset()
    guide: GuideLines | None = None
    trace: int | None = None
    counted: bool = True
    skipped: str = ""

    def reported(self, findings: Sequence[Finding]) -> frozenset[Kind]:
        """The right kinds by which the findings, notes too, report this fault; empty where none does."""
        return frozenset(
            finding.kind
            for finding in findings
            if finding.kind in self.kinds or (finding.kind is Kind.LETTER and finding.letter in self.names)
            if self.trace is None or finding.trace in (None, self.trace)
        )


Other: TypeAlias = tuple[str, Traces]
"""Another letter's name and ink."""

Fault: TypeAlias = Callable[[str, Traces], Damaged]

MIRRORED = {
    **{"b": "d", "d": "b", "p": "q", "q": "p", "z": "s", "s": "z"},
    **{"Z": "S", "S": "Z", "J": "L", "L": "J", "2": "5", "5": "2"},
}
"""Letters whose mirror image the table knows by another name."""

FACING = "bdpqcejsz" + "BCDEFGJKLNPQRSZ" + "2345679"
"""Letters that have a mirror image of their own: the others look the same both ways, or nearly so."""

PARTS = {
    **{**dict.fromkeys("bhiknprt", "l"), **dict.fromkeys("adgq", "oc"), "m": "nl", "w": "v", "y": "vu"},
    **{**dict.fromkeys("BDFHJKLMNPRT", "I"), "E": "LFCI", "G": "C", "Q": "O", "R": "PI", "Y": "VI"},
    **{"4": "1", "7": "1"},
}
"""For letters that may be written in several traces, the letters that are left when one is left out."""

GAP = 0.2
"""A cut trace has a gap of this many x-heights."""

STEMS = "bhijklpt" + "BDEFHIJKLMNPRT" + "16"
"""Letters that begin with a line down from the top of the letter: a plain stem, or the side of a 6."""

BOWLED = "adgq9"
"""Letters that begin with a bowl that closes where it was begun: begun later, it has a gap there."""

BARRED = "E5"
"""Letters that may begin with their top bar, from right to left, and go on in the same trace."""

RINGS = "oO08"
"""Letters that are one closed line."""

MOVED = 0.6
"""A start is moved along the letter by this many x-heights."""


def faults(letter: str, traces: Sequence[Polyline], other: Other | None) -> tuple[Damaged, ...]:
    """This accepted ink in every damage; `other` is another letter's ink by the same writer, or None."""
    given = without_slips(letter, traces) or tuple(traces)
    every = (*(fault(letter, given) for fault in FAULTS), another(letter, other))
    return tuple(_still_wrong(letter, damaged) for damaged in every)


def _still_wrong(letter: str, damaged: Damaged) -> Damaged:
    """Ink that the table accepts, between the lines that it is judged between, has no fault."""
    if damaged.skipped or not acceptable(letter, damaged.traces, damaged.guide):
        return damaged
    return _none(damaged.fault, f"{letter}: the table accepts it so, too")


def _none(fault: str, reason: str) -> Damaged:
    return Damaged(fault, skipped=reason)


def _dot(letter: str, trace: Polyline, unit: float) -> bool:
    return letter in "ij" and float(np.ptp(trace, axis=0).max()) < DOT * unit


def all_backwards(_: str, traces: Traces) -> Damaged:
    """Each trace run from its end; the traces stay in their order."""
    return Damaged("backwards", tuple(trace[::-1] for trace in traces), frozenset({Kind.DIRECTION}))


def one_backwards(letter: str, traces: Traces) -> Damaged:
    """The last trace that is no dot, run from its end."""
    name = "one trace backwards"
    if len(traces) < 2:
        return _none(name, "one trace: it is the whole ink backwards")
    unit = x_height(letter, traces)
    lines = [k for k, trace in enumerate(traces) if not _dot(letter, trace, unit)]
    turned = lines[-1]
    ink = tuple(trace[::-1] if k == turned else trace for k, trace in enumerate(traces))
    return Damaged(name, ink, frozenset({Kind.DIRECTION}))


def mirrored(letter: str, traces: Traces) -> Damaged:
    """The mirror image of the letters that have one of their own, the direction of the pen mirrored too."""
    name = "mirror image"
    if letter not in FACING:
        return _none(name, f"not one of {' '.join(FACING)}")
    ink = tuple(trace * (-1.0, 1.0) for trace in traces)
    return Damaged(name, ink, frozenset({Kind.REVERSAL}), frozenset(MIRRORED.get(letter, "")))


def swapped(_: str, traces: Traces) -> Damaged:
    """The first two traces swapped in time."""
    name = "two traces swapped"
    if len(traces) < 2:
        return _none(name, "one trace")
    return Damaged(name, (traces[1], traces[0], *traces[2:]), frozenset({Kind.ORDER}))


def left_out(letter: str, traces: Traces) -> Damaged:
    """The last trace left out; an E without its bars is a C, and may be called that.

    What is left of a 5 that was begun to the left is as much the one in one trace, begun late, as one without
    its bar.
    """
    name = "a trace left out"
    if len(traces) < 2:
        return _none(name, "one trace")
    kinds = {Kind.MISSING}
    if letter == "5" and _begun_left(traces[0], x_height(letter, traces)):
        kinds.add(Kind.START)
    return Damaged(name, traces[:-1], frozenset(kinds), frozenset(PARTS.get(letter, "")))


def _begun_left(trace: Polyline, unit: float) -> bool:
    """Whether a 5 is begun to the left, with its bar or a piece of it."""
    return TraceShape(resample(trace, POINTS) / unit).sideways() == "LRL"


def _top_bar(trace: Polyline, unit: float) -> float:
    """How wide a bar to the left the trace begins with, in x-heights: until it is lower than it is wide."""
    x, y = (trace - trace[0]).T / unit
    left = np.maximum.accumulate(-x)
    lower = np.flatnonzero(y > np.maximum(left, SEGMENT))
    return float(left[lower[0] - 1] if len(lower) else left[-1])


def stray(letter: str, traces: Traces) -> Damaged:
    """A slanting line added at the right, two thirds of an x-height long, after all others."""
    unit = x_height(letter, traces)
    every = np.vstack(traces)
    right, base = float(every[:, 0].max()), float(every[:, 1].max()) - reach(letter)[1] * unit
    line = np.linspace((right + 0.15 * unit, base - 0.25 * unit), (right + 0.5 * unit, base - 0.8 * unit), 12)
    return Damaged("a stray trace", (*traces, line), frozenset({Kind.EXTRA}))


def cut_in_two(letter: str, traces: Traces) -> Damaged:
    """The first trace cut in the middle of its longest way down, with a gap.

    No accepted formation lifts the pen there: those with more pens lift where a line is retraced, at the
    top or foot of a stem.
    """
    unit = x_height(letter, traces)
    trace = traces[0]
    turns = turning_points(trace[:, 1], SEGMENT * unit)
    down = [(a, b) for a, b in pairwise(turns) if trace[b, 1] > trace[a, 1]]
    if not down:
        return _none("cut in two", "no way down in the first trace")
    first, last = max(down, key=lambda ends: length(trace[ends[0] : ends[1] + 1]))
    middle = length(trace[: first + 1]) + length(trace[first : last + 1]) / 2
    half = GAP * unit / 2
    pieces = (cut(trace, 0.0, middle - half), cut(trace, middle + half, length(trace)))
    return Damaged("cut in two", (*pieces, *traces[1:]), frozenset({Kind.LIFT}))


def opened(letter: str, traces: Traces) -> Damaged:
    """A ring or an a opened by a quarter of its loop, at the end that should close it."""
    name = "opened loop"
    if letter not in RINGS + "a":
        return _none(name, "not an o, a, O, 0 or 8")
    loop, rest = _loop(letter, traces)
    open_loop = (
        cut(loop, 0.0, 0.75 * length(loop))
        if letter in RINGS
        else cut(loop, 0.25 * length(loop), length(loop))
    )
    ink = (np.vstack([open_loop, rest]) if len(rest) else open_loop, *traces[1:])
    return Damaged(name, ink, frozenset({Kind.CLOSURE}))


def _loop(letter: str, traces: Traces) -> tuple[Polyline, Polyline]:
    """The bowl of the first trace, to where it is brought back up, and what follows of that trace."""
    trace = traces[0]
    if letter in RINGS or len(traces) > 1:
        return trace, trace[:0]
    turns = turning_points(trace[:, 1], SEGMENT * x_height(letter, traces))
    foot = next((k for k, at in enumerate(turns) if k and trace[at, 1] > trace[turns[k - 1], 1]), 0)
    top = turns[min(foot + 1, len(turns) - 1)]
    return trace[: top + 1], trace[top + 1 :]


def moved_start(letter: str, traces: Traces) -> Damaged:
    """The first trace begun further along; a closed loop is still written all the way round.

    What is cut off of a bowl that closes where it begins is the gap that is left there: to tell it is right.

    How far a stem rises above its bowl, arch or bar is a writer's own measure, and a plain line begun later
    is a shorter line: only guide lines can show that these were begun too low. So are most capitals and
    digits smaller ones, as they begin at their top: all of them are judged between lines.

    A 5 or E that begins with its top bar and is begun behind it lacks the bar: to tell that is right, too.
    """
    return _moved(letter, traces, lines=letter in STEMS or set_of(letter) != "small")


def moved_start_between_lines(letter: str, traces: Traces) -> Damaged:
    """The same with guide lines for every letter, as there are when a child writes; counted apart."""
    damaged = _moved(letter, traces, lines=True)
    return replace(damaged, fault="start moved, between lines", counted=False)


def _moved(letter: str, traces: Traces, *, lines: bool) -> Damaged:
    name = "start moved"
    unit = x_height(letter, traces)
    ink = begun_later(traces, MOVED, unit)
    if ink is None:
        return _none(name, "nothing would be left of the trace")
    if letter in RINGS:
        beginning = resample(cut(traces[0], 0.0, MOVED * unit), POINTS)
        passed = int(np.argmin(np.hypot(*(beginning - traces[0][-1]).T)))
        ink = (np.vstack([ink[0], beginning[passed + 1 :]]),)  # on from there: the pen never jumps back
    guide = lines_for(letter, traces, unit) if lines else None
    kinds = {Kind.START, Kind.CLOSURE} if letter in BOWLED else {Kind.START}
    if letter in BARRED and _top_bar(ink[0], unit) <= START_ZONE < _top_bar(traces[0], unit):
        kinds.add(Kind.MISSING)
    return Damaged(name, ink, frozenset(kinds), guide=guide, trace=0)


def another(letter: str, other: Other | None) -> Damaged:
    """Another letter's ink by the same writer in its place.

    Of a mirror pair, a finding of the mirror image is right, too; so is one of a missing stroke where the
    other letter is this one without a trace (an l for a t), and of one too many where it is the reverse.
    """
    name = "another letter"
    if other is None:
        return _none(name, "the writer has no other letter")
    called, traces = other
    kinds = {Kind.LETTER}
    if MIRRORED.get(letter) == called:
        kinds.add(Kind.REVERSAL)
    if called in PARTS.get(letter, ""):
        kinds.add(Kind.MISSING)
    if letter in PARTS.get(called, ""):
        kinds.add(Kind.EXTRA)
    return Damaged(name, traces, frozenset(kinds))


FAULTS: tuple[Fault, ...] = (
    all_backwards,
    one_backwards,
    mirrored,
    swapped,
    left_out,
    stray,
    cut_in_two,
    opened,
    moved_start,
    moved_start_between_lines,
)
"""All that need only the ink itself, in the order in which they are reported."""

FEW = frozenset({"opened loop", "one trace backwards", "two traces swapped", "a trace left out"})
"""Few letters can have these: by turns, swaps would be tried on 44 of 345 digits in two traces, with an
interval of 12 in 100. Each letter that can have one gets it beside the one that is its turn."""
