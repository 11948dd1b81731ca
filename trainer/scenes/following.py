"""Follows a letter while it is being written: which stroke each trace stands for, and what to show again."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import Literal, TypeAlias

import numpy as np

from strokes.ink import Ink, Trace
from strokes.letter import Formation, GuideLines, Hand, Letter, Stroke
from strokes.live import LiveTrace, follow
from strokes.polyline import resample
from strokes.report import Finding, Kind
from strokes.tolerances import Tolerances
from trainer.attempt import Verdict
from trainer.lesson import is_well

There: TypeAlias = Literal["well", "there", "no"]
"""Whether a letter is all there: well formed, with something to try, or not yet."""

POINTS = 24
"""Points on a line by which a trace is compared with two strokes: enough to tell which it was meant for."""

APART = 0.5
"""X-heights, as a mean: a trace this far from the last stroke is a mark of its own and not a try at it."""


@dataclass(frozen=True)
class Hint:
    """A stroke to show again, and why."""

    formation: Formation
    stroke: int
    kind: Kind


@dataclass(frozen=True)
class _State:
    """The formations that still explain the ink, the next stroke, and one that may be written over.

    `shown` counts the strokes that were shown again, `mended` those that were then written over well.
    `later` are the traces, by number, that try such a stroke again, well or not.
    """

    alive: tuple[Formation, ...]
    next: int = 0
    redo: int | None = None
    shown: int = 0
    mended: int = 0
    later: tuple[int, ...] = ()


class Following:
    """One letter being written by one hand; traces are taken in order, and the last can be taken back.

    With `placed` the ink's place across the box counts, as where starts are shown.
    """

    def __init__(
        self,
        letter: Letter,
        *,
        hand: Hand | None,
        guide: GuideLines,
        placed: bool,
        tolerances: Tolerances | None = None,
    ) -> None:
        self.letter, self.hand, self.guide, self.placed = letter, hand, guide, placed
        self.tolerances = tolerances or Tolerances()
        self.forget()

    @property
    def next(self) -> int:
        """The stroke that is due."""
        return self._states[-1].next

    @property
    def mended(self) -> bool:
        """Whether strokes were shown again, and each of them was then written over as shown."""
        return 0 < self._states[-1].shown == self._states[-1].mended

    @property
    def later(self) -> tuple[int, ...]:
        """The traces, by number, that try a stroke again after it was shown."""
        return self._states[-1].later

    def first_tries(self, ink: Ink) -> Ink:
        """The ink without the traces that try a stroke again after it was shown."""
        later = self.later
        return Ink(tuple(trace for number, trace in enumerate(ink.traces) if number not in later))

    def forget(self) -> None:
        """Start again."""
        self._states = [_State(self.letter.accepted(self.hand))]
        self._live: dict[tuple[Formation, int], LiveTrace] = {}

    def begin(self) -> None:
        """The pen came down: its trace is held against every stroke that it may be."""
        state = self._states[-1]
        due = [state.next] if state.redo is None else [state.next, state.redo]
        self._live = {
            (one, index): self._followed(one, index)
            for index in due
            for one in state.alive
            if index < len(one.strokes)
        }

    def _followed(self, formation: Formation, index: int) -> LiveTrace:
        return LiveTrace(formation, index, guide=self.guide, placed=self.placed, tolerances=self.tolerances)

    def grow(self, x: float, y: float) -> Hint | None:
        """The pen went on to this point; a Hint once the trace can be none of the strokes it may be."""
        said = [live.add(x, y) for live in self._live.values()]
        if not said or None in said:
            return None
        (formation, index), live = next(iter(self._live.items()))
        return Hint(formation, index, live.said.kind) if live.said else None

    def undo(self) -> None:
        """Take the last trace back."""
        if len(self._states) > 1:
            self._states.pop()

    def take(self, trace: Trace) -> Hint | None:
        """Judge a trace that was just finished; a Hint when its stroke should be shown again."""
        try:
            return self._take(trace)
        finally:
            self._live = {}

    def _take(self, trace: Trace) -> Hint | None:
        state = self._states[-1]
        later = (*state.later, len(self._states) - 1)
        if state.redo is not None and (alive := self._fits(trace, state, state.redo)):
            mended = state.mended + 1
            self._states.append(replace(state, alive=alive, redo=None, mended=mended, later=later))
            return None
        fitting = self._fits(trace, state, state.next)
        if fitting:
            self._states.append(replace(state, alive=fitting, next=state.next + 1, redo=None))
            return None
        if state.redo is not None and self._tries_again(trace, state.alive[0], state.redo, state.next):
            self._states.append(replace(state, later=later))
            return self._hint(trace, state.alive[0], state.redo)
        shown = next((one for one in state.alive if state.next < len(one.strokes)), None)
        if shown is None:
            self._states.append(state)
            return None
        self._states.append(replace(state, next=state.next + 1, redo=state.next, shown=state.shown + 1))
        return self._hint(trace, shown, state.next)

    def is_all_there(self, ink: Ink) -> There:
        """Whether all strokes are there, by their number and by the whole letter's judgement."""
        from strokes.checks import check

        first = self.first_tries(ink)
        if len(first) < min(len(one.strokes) for one in self._states[-1].alive):
            return "no"
        report = check(first, self.letter, guide=self.guide, hand=self.hand, tolerances=self.tolerances)
        if is_well(Verdict.of(report)):
            return "well"
        return "no" if any(f.kind is Kind.MISSING and not f.note for f in report.findings) else "there"

    def _hint(self, trace: Trace, formation: Formation, index: int) -> Hint | None:
        finding = self._finding(trace, formation, index)
        return Hint(formation, index, finding.kind) if finding else None

    def _tries_again(self, trace: Trace, formation: Formation, redo: int, due: int) -> bool:
        """Whether a trace that fits neither is meant for stroke `redo`, and not for the one that is due."""
        strokes = formation.strokes
        limit = self._unlike(trace, strokes[due]) if due < len(strokes) else APART
        return self._unlike(trace, strokes[redo]) < limit

    def _unlike(self, trace: Trace, stroke: Stroke) -> float:
        """Mean distance between a trace and a stroke, whichever way the pen ran; in x-heights."""
        drawn, model = resample(trace.points, POINTS), resample(stroke.path, POINTS)
        if not self.placed:
            drawn, model = (line - (line[:, 0].mean(), 0.0) for line in (drawn, model))
        return min(float(np.hypot(*(way - model).T).mean()) for way in (drawn, drawn[::-1]))

    def _fits(self, trace: Trace, state: _State, index: int) -> tuple[Formation, ...]:
        """The formations still in question whose stroke `index` this trace can be."""
        return tuple(
            one
            for one in state.alive
            if index < len(one.strokes) and self._finding(trace, one, index) is None
        )

    def _finding(self, trace: Trace, formation: Formation, index: int) -> Finding | None:
        live = self._live.get((formation, index))
        if live is None:
            live = self._followed(formation, index)
        return follow(live, trace.points)
