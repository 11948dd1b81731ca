"""Follows a letter while it is being written: what each trace stands for, what to show again, what stands.

For every accepted formation there is a track: which traces stand for which of its strokes. A trace is read
as a stroke that is due, one that is written out of its order, the rest of one that was lifted in, or one
that is written again. While a stroke is being shown, what is written again takes the place of what stood
for it, and that ink steps back: it is kept, and no longer part of the letter on the page.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import Literal, TypeAlias

from strokes.checks import LiveTrace, Reading, Target, reached, read, rest_of, targets
from strokes.ink import Trace
from strokes.kinds import Kind
from strokes.letter import Formation, GuideLines, Hand, Letter, Stroke
from strokes.polyline import Polyline
from strokes.report import Finding
from strokes.tolerances import Tolerances
from trainer.attempt import Step

AGAIN_COST = 0.06
"""What it costs to read a trace as a stroke that stands already, while none is being shown."""

SHOWN_COST = 0.01
"""What it costs to read a trace as the stroke that is due, while another one is being shown."""

ORDER_COST, INSIDE_COST = 0.03, 0.09
"""What it costs to read a trace as a stroke that comes later than the one that is due; and the same where
the letter is taught as one stroke: who begins inside that has begun elsewhere."""

WRONG_COST = 0.04
"""What a reading loses by which a stroke was begun elsewhere or run backwards: where another formation reads
the trace nearly as well and finds nothing wrong, nothing is shown."""

FAR = 0.24
"""A trace that costs more than this as anything, as a line across its stroke does, stands for nothing."""

_SHOWN = Finding(Kind.START, 0.0, 0.0)
"""Why a stroke is shown that was shown when the ink was written and would not be today."""

Role: TypeAlias = Literal["due", "later", "again", "rest"]


@dataclass(frozen=True)
class Hint:
    """A stroke to show again, and why: it was begun elsewhere, or ran backwards."""

    formation: Formation
    stroke: int
    finding: Finding

    @property
    def kind(self) -> Kind:
        """What went wrong with it."""
        return self.finding.kind


@dataclass(frozen=True, eq=False)
class _Track:
    """One formation, the numbers of the traces that stand for each stroke, and what reading them cost."""

    formation: Formation
    traces: tuple[tuple[int, ...], ...]
    cost: float = 0.0
    last: Reading | None = None

    @classmethod
    def of(cls, formation: Formation) -> _Track:
        return cls(formation, ((),) * len(formation.strokes))

    @property
    def due(self) -> int:
        """The first stroke that no trace stands for; one past the last where there is none."""
        return next((k for k, numbers in enumerate(self.traces) if not numbers), len(self.traces))

    def role(self, target: Target) -> Role:
        if self.traces[target.first]:
            return "again"
        return "due" if target.first == self.due else "later"

    def without(self, gone: frozenset[int]) -> _Track:
        left = tuple(tuple(k for k in numbers if k not in gone) for numbers in self.traces)
        return replace(self, traces=left)

    def taken(self, number: int, reading: Reading, cost: float, *, stands: bool) -> _Track:
        traces = list(self.traces)
        for k in reading.target.strokes if stands else ():
            traces[k] = (*traces[k], number)
        return replace(self, traces=tuple(traces), cost=self.cost + cost, last=reading)


@dataclass(frozen=True, eq=False)
class _Choice:
    """A trace as one track reads it, and what is wrong with it as that."""

    track: _Track
    reading: Reading
    role: Role
    cost: float
    finding: Finding | None

    @property
    def total(self) -> float:
        return self.track.cost + self.cost + (WRONG_COST if self.finding else 0.0)


@dataclass(frozen=True, eq=False)
class _State:
    """The tracks, the likeliest first, the stroke that is being shown, and what was shown behind each trace.

    The letter is known to stand `aside` x-heights to the right of where it was shown; the last trace `ended`
    there, in letter space. `back` are the traces that have stepped back.
    """

    tracks: tuple[_Track, ...]
    aside: float | None
    ended: Polyline | None = None
    hints: tuple[Hint | None, ...] = ()
    shown: tuple[bool, ...] = ()
    pending: Hint | None = None
    back: frozenset[int] = frozenset()


class Following:
    """One letter being written by one hand; traces are taken in order, and the last can be taken back."""

    def __init__(
        self,
        letter: Letter,
        *,
        hand: Hand | None,
        guide: GuideLines,
        step: Step,
        tolerances: Tolerances,
    ) -> None:
        self.letter, self.hand, self.guide, self.step = letter, hand, guide, step
        self.tolerances = tolerances
        self.forget()

    def forget(self) -> None:
        """Start again."""
        aside = None if self.step is Step.RECALL else 0.0
        self._states = [_State(tuple(map(_Track.of, self.letter.accepted(self.hand))), aside)]
        self._live: list[tuple[Formation, LiveTrace]] = []

    @property
    def next(self) -> int:
        """How many strokes of the formation that is read stand there from its first on."""
        return self._states[-1].tracks[0].due

    @property
    def hints(self) -> tuple[Hint | None, ...]:
        """What was wrong with each trace so that a stroke was shown again; None where none was."""
        return self._states[-1].hints

    @property
    def shown(self) -> tuple[int, ...]:
        """The traces, by number, after which a stroke was shown."""
        return tuple(k for k, shown in enumerate(self._states[-1].shown) if shown)

    @property
    def back(self) -> frozenset[int]:
        """The traces, by number, that have stepped back: what they stood for was written again."""
        return self._states[-1].back

    # While the pen is down

    def begin(self) -> None:
        """The pen came down: its trace is held against every stroke that may be due."""
        state = self._states[-1]
        due = dict.fromkeys((track.formation, track.due) for track in state.tracks)
        if state.pending is not None:
            due[state.pending.formation, state.pending.stroke] = None
        self._live = [
            (
                formation,
                LiveTrace(
                    formation,
                    index,
                    guide=self.guide,
                    placed=self.step is Step.TRACE,
                    tolerances=self.tolerances,
                ),
            )
            for formation, index in due
            if index < len(formation.strokes)
        ]
        order = {track.formation: place for place, track in enumerate(state.tracks)}
        self._live.sort(key=lambda live: order.get(live[0], 0))

    def grow(self, x: float, y: float) -> Hint | None:
        """The pen went on to this point; a Hint once the trace can be none of the strokes it may be."""
        said = [live.add(x, y) for _, live in self._live]
        if not said or None in said:
            return None
        formation, live = self._live[0]
        return Hint(formation, live.index, live.said) if live.said else None

    # When it is up

    def undo(self) -> None:
        """Take the last trace back."""
        if len(self._states) > 1:
            self._states.pop()

    def take(self, trace: Trace, *, shown: bool | None = None) -> Hint | None:
        """Read a trace that was just finished; a Hint when its stroke should be shown again.

        `shown` tells, for ink that was kept, whether a stroke was shown then; None decides it anew.
        """
        self._live = []
        state, number = self._states[-1], len(self._states) - 1
        choices = self._choices(trace, number, state)
        best = min(choices, key=lambda choice: choice.total)
        if best.cost > FAR and not shown:
            self.pass_over(number + 1)
            return None
        again = best.role == "again" and any(state.shown)
        back = self._stepping_back(best, state, again=again)
        hint = self._hint(best, state.pending, again=again)
        was_shown = hint is not None if shown is None else shown
        pending = state.pending
        if was_shown:
            index = best.reading.target.first
            pending = hint or Hint(best.track.formation, index, _SHOWN)
        elif again and pending is not None and best.reading.target.first <= pending.stroke:
            pending = None
        tracks = sorted(
            (
                choice.track.without(back).taken(
                    number,
                    choice.reading,
                    choice.total - choice.track.cost,
                    # what was shown as a stroke of one formation stands for nothing in the others
                    stands=not was_shown or choice is best,
                )
                for choice in choices
            ),
            key=lambda track: track.cost,
        )
        self._states.append(
            _State(
                tuple(tracks),
                best.reading.aside,
                self.guide.to_letter_space().apply(trace.points[-1:])[0],
                (*state.hints, hint if was_shown else None),
                (*state.shown, was_shown),
                pending,
                back,
            )
        )
        return hint if was_shown else None

    def _stepping_back(self, best: _Choice, state: _State, *, again: bool) -> frozenset[int]:
        """What has stepped back once a trace was written: what it is written again for, while one is shown.

        A trace that was shown as a stroke of another formation goes too, once the letter is read without it.
        """
        of_stroke = best.track.traces
        gone = {k for stroke in best.reading.target.strokes for k in of_stroke[stroke]} if again else set()
        read = {k for numbers in of_stroke for k in numbers}
        gone |= {k for k, shown in enumerate(state.shown) if shown and k not in read}
        return state.back | gone

    def pass_over(self, count: int) -> None:
        """A trace that is near to nothing stands for nothing; after it, `count` were written."""
        state = self._states[-1]
        if len(state.hints) < count:
            hints, shown = (*state.hints, None), (*state.shown, False)
            self._states.append(replace(state, hints=hints, shown=shown, ended=None))

    def _choices(self, trace: Trace, number: int, state: _State) -> list[_Choice]:
        """For each track its best reading of a trace."""
        asked = [(track, *read_as) for track in state.tracks for read_as in _asked(track, state.ended)]
        free = number == 0 or any(state.shown)
        readings = read(
            trace.points,
            [target for _, target, _ in asked],
            guide=self.guide,
            shown=state.aside,
            free=free,
        )
        best: dict[_Track, tuple[Reading, Role, float]] = {}
        several = len(self.letter.taught.strokes) > 1
        extra_of: dict[Role, float] = {
            "due": SHOWN_COST if state.pending else 0.0,
            "rest": 0.0,
            "later": ORDER_COST if several else INSIDE_COST,
            "again": 0.0 if any(state.shown) else AGAIN_COST,
        }
        for (track, _, role), reading in zip(asked, readings, strict=True):
            cost = reading.cost + extra_of[role]
            if track not in best or cost < best[track][2]:
                best[track] = reading, role, cost
        findings: dict[tuple[Stroke, Stroke, float, bool], Finding | None] = {}
        choices = []
        for track, (reading, role, cost) in best.items():
            finding = None  # what was lifted in is told of the whole letter, and a scribble of nothing
            if role != "rest" and reading.cost <= FAR:
                if reading.placed not in findings:
                    findings[reading.placed] = reading.finding(trace.points, self.guide, self.tolerances)
                finding = findings[reading.placed]
            choices.append(_Choice(track, reading, role, cost, finding))
        return choices

    def _hint(self, best: _Choice, pending: Hint | None, *, again: bool) -> Hint | None:
        """The stroke that went wrong, in the formation that reads the trace best.

        A stroke that is written again and goes wrong again is shown as it was shown before.
        """
        if best.finding is None:
            return None
        first = best.reading.target.first
        if again and pending is not None and first == pending.stroke:
            return replace(pending, finding=best.finding)
        return Hint(best.track.formation, first, best.finding)


def _asked(track: _Track, ended: Polyline | None) -> list[tuple[Target, Role]]:
    """What the next trace may stand for in one track, when the last one `ended` there."""
    asked: list[tuple[Target, Role]] = [(target, track.role(target)) for target in targets(track.formation)]
    if track.last is not None and ended is not None:
        stroke = track.last.target.last
        begin = reached(track.formation, stroke, ended - (track.last.aside, 0.0))
        rest = rest_of(track.formation, stroke, round(begin, 2))
        if rest is not None:
            asked.append((rest, "rest"))
    return asked
