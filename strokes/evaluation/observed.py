"""What ink does, seen without the checks: the sense of the main loop, a stem's begun end, what came first.

Each observation says whether the table of formations takes what it saw as wrong, so that it can be compared
with the findings of a check. Where a thing cannot be seen clearly, the observation is skipped and says why.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from strokes.evaluation.trace_shape import LetterShape, TraceShape, anticlockwise, letter_shape
from strokes.kinds import FORMATION, Kind
from strokes.polyline import Polyline, arc_lengths, length, signed_area
from strokes.report import Finding

LOOPED, STEMMED = "ocadgqCGOQ069", "ltihbkpBDEFHIKMNPR1"
BARRED, DOTTED = "tfJ", "ijQ"
STEM_FIRST, BAR_LAST = "BDEFKPR", "A"

OPEN = "cCG"
"""Letters whose curve stays open: the whole of it is the main loop."""

LOOP_BEGINS = 0.35
"""A main loop begins within this share of its stroke: it comes first in every letter that has one."""

BACK = 0.5
"""A loop comes back to where it began when its gap, squared, is at most this share of what it encloses."""

SMALL = 0.03
"""A loop that encloses less, in square x-heights, is a hook of the pen."""

BEYOND = 0.15
"""How far a main loop may pass its lines, in x-heights."""

CLEAR = 0.15
"""A main loop encloses at least this share of its box, or its sense is not plain."""

ENDS = 0.25
"""A stem is begun at its top or foot when it begins within this share of its height from it."""


@dataclass(frozen=True)
class Observation:
    """Of which `kind` the check should speak, if `wrong`; `skipped` says why nothing could be seen.

    `place` is the place in the order of strokes that was looked at: 0 for the first, -1 for the last.
    """

    kind: Kind
    wrong: bool = False
    skipped: str = ""
    place: int | None = None

    def agrees(self, findings: Sequence[Finding]) -> bool:
        """Whether the check says the same; a note says it too.

        A stem that was begun at its foot may be a finding of start or of direction: both are true of it.
        Only the beginning of the first stroke is asked about its start, only the part of the first stroke in
        which the main loop stands about its direction, and only the stem's or bar's place about the order,
        since that is what was observed.
        """
        kinds = {self.kind}
        concerned = [finding for finding in findings if finding.kind in FORMATION]
        if self.kind is Kind.ORDER:
            concerned = [finding for finding in concerned if not self._in_place(finding)]
        else:
            latest = LOOP_BEGINS if self.kind is Kind.DIRECTION else 0.0
            concerned = [finding for finding in concerned if finding.stroke in (None, 0)]
            concerned = [finding for finding in concerned if (finding.part or (0.0,))[0] <= latest]
        if self.kind is Kind.START:
            kinds |= {Kind.DIRECTION}
        return self.wrong == any(finding.kind in kinds for finding in concerned)

    def _in_place(self, finding: Finding) -> bool:
        """Whether a finding on the order of strokes leaves the one that was looked at in its place."""
        if self.place is None or finding.stroke is not None or not finding.order:
            return False
        return finding.order[self.place] == sorted(finding.order)[self.place]


def observe(letter: str, traces: Sequence[Polyline]) -> tuple[Observation, ...]:
    """All that can be seen in this ink for this letter; empty for letters that have none of these parts."""
    ink = letter_shape(letter, traces)
    if not ink.traces:
        return ()
    observers = (
        *((LOOPED, _loop), (STEMMED, _stem), (BARRED, _bar_after_stem), (DOTTED, _dot_after_body)),
        *((STEM_FIRST, _stem_first), (BAR_LAST, _bar_last)),
    )
    return tuple(observer(ink) for letters, observer in observers if letter in letters)


def _loop(ink: LetterShape) -> Observation:
    """The turning sense of the main loop by its signed area; all letters that have one run anticlockwise.

    It stands on the base line, and in a small letter below the x-height line: what reaches beyond is stem or
    tail. Of what stands there, the piece that closes counts, and where none does, or the letter stays open,
    all of it: the curved tail of a 9 that has a ring is none.
    """
    top = -1.0 if ink.letter.islower() else ink.top
    pieces = [piece for trace in ink.traces for piece in _between(trace.line, top - BEYOND, BEYOND)]
    loops = [piece for piece in pieces if len(piece) > 2]
    if ink.letter not in OPEN:
        closed = [loop for loop in map(_largest_loop, loops) if loop is not None]
        loops = closed or loops
    if not loops:
        return Observation(Kind.DIRECTION, skipped="no loop")
    main = max(loops, key=lambda loop: abs(signed_area(loop)))
    if abs(anticlockwise(main)) < CLEAR:
        return Observation(Kind.DIRECTION, skipped="loop without a clear sense")
    return Observation(Kind.DIRECTION, wrong=anticlockwise(main) < 0)


def _between(line: Polyline, top: float, bottom: float) -> list[Polyline]:
    """The runs of a line that stand between two heights."""
    inside = (line[:, 1] >= top) & (line[:, 1] <= bottom)
    edges = np.flatnonzero(np.diff(np.concatenate([[0], inside.view(np.int8), [0]])))
    return [line[first:last] for first, last in edges.reshape(-1, 2)]


def _largest_loop(line: Polyline) -> Polyline | None:
    """The piece of a line that encloses most, among those that come back to where they began.

    So neither a stroke that leads in nor a stem that follows takes part. None for a line that closes nothing
    but a hook of the pen.
    """
    x, y = line.T
    along = arc_lengths(line)
    swept = np.concatenate([[0.0], np.cumsum(x[:-1] * y[1:] - x[1:] * y[:-1])])
    enclosed = abs(swept[None, :] - swept[:, None] + x[None, :] * y[:, None] - x[:, None] * y[None, :]) / 2
    gap = np.hypot(x[None, :] - x[:, None], y[None, :] - y[:, None])
    backward = along[None, :] <= along[:, None]
    enclosed[backward | (gap**2 > BACK * enclosed)] = 0.0
    if enclosed.max() < SMALL:
        return None
    first, last = np.unravel_index(int(np.argmax(enclosed)), enclosed.shape)
    return line[first : last + 1]


def _stem(ink: LetterShape) -> Observation:
    """Which end the stem was begun at, where the first trace is a plain stem or begins with one."""
    trace = ink.traces[0]
    if ink.letter in DOTTED or ink.letter in BARRED:
        trace = max(ink.traces, key=lambda each: each.height)
        if trace is not ink.traces[0]:
            return Observation(Kind.START, skipped="the stem is not the first trace")
    first = trace.line[trace.turns[0] : trace.turns[1] + 1]
    tall = float(np.ptp(first[:, 1]))
    if tall < 0.75 * trace.height or tall < 0.6 * (ink.bottom - ink.top) or not _plain(first):
        return Observation(Kind.START, skipped="the first trace does not begin with a plain stem")
    if trace.turns[1] < len(trace.line) - 1 and first[0, 1] > first[-1, 1]:
        back = trace.line[trace.turns[1] :, 1]
        if float(back.max() - back[0]) > 0.6 * tall:
            return Observation(Kind.START, skipped="a rise before the stem")
    begun = (float(trace.start[1]) - float(trace.low[1])) / trace.height
    if ENDS < begun < 1 - ENDS:
        return Observation(Kind.START, skipped="begun between the ends of the stem")
    return Observation(Kind.START, wrong=begun > 0.5)


def _plain(line: Polyline) -> bool:
    chord = line[-1] - line[0]
    return float(np.hypot(*chord)) >= 0.95 * length(line) and abs(chord[1]) > 1.5 * abs(chord[0])


def _bar_after_stem(ink: LetterShape) -> Observation:
    """Stem and bar of t and f: the more upright of the two traces and the more level one."""
    if len(ink.traces) != 2:
        return Observation(Kind.ORDER, skipped="not two traces")
    upright = [_upright(trace) for trace in ink.traces]
    if max(upright) < 0.5 or min(upright) > 0.5 or max(upright) - min(upright) < 0.2:
        return Observation(Kind.ORDER, skipped="stem and bar are not plain")
    return Observation(Kind.ORDER, wrong=upright[1] > upright[0])


def _upright(trace: TraceShape) -> float:
    extent = trace.height + trace.width
    return trace.height / extent if extent > 0 else 0.0


def _stem_first(ink: LetterShape) -> Observation:
    """Whether the stem came before bowls, bars, arm and leg: the only trace that is one plain stem."""
    stems = [_plain(trace.line) and trace.height > 0.7 * (ink.bottom - ink.top) for trace in ink.traces]
    if len(stems) < 2 or sum(stems) != 1:
        return Observation(Kind.ORDER, skipped="stem and the rest are not plain")
    return Observation(Kind.ORDER, wrong=not stems[0], place=0)


def _bar_last(ink: LetterShape) -> Observation:
    """Whether the bar of an A came after its slants: the one trace that is wider than it is tall by half."""
    bars = [trace.width > 1.5 * trace.height and trace.height < 0.5 for trace in ink.traces]
    if len(bars) < 2 or sum(bars) != 1:
        return Observation(Kind.ORDER, skipped="slants and bar are not plain")
    return Observation(Kind.ORDER, wrong=not bars[-1], place=-1)


def _dot_after_body(ink: LetterShape) -> Observation:
    """Body and dot of i and j, ring and tail of a Q: the longer and the shorter of two traces."""
    if len(ink.traces) != 2:
        return Observation(Kind.ORDER, skipped="not two traces")
    first, second = (trace.length for trace in ink.traces)
    if min(first, second) > 0.6 * max(first, second):
        return Observation(Kind.ORDER, skipped="body and dot are not plain")
    return Observation(Kind.ORDER, wrong=second > first)
