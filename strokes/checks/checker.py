"""How a letter was written: the front door `check`.

Every accepted formation explains the ink as cheaply as it can (`matching`); the one under which least is to
be mended is the one the child is judged by. How the pen moved is told in `movement`, how the letter looks in
`looks`.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from functools import lru_cache

import numpy as np

from strokes.checks import legibility
from strokes.checks.live import LiveTrace, follow
from strokes.checks.movement import between_lines, movement
from strokes.checks.unfinished import second_copy, unfinished
from strokes.errors import InkError
from strokes.ink import Ink
from strokes.kinds import Kind
from strokes.letter import Formation, GuideLines, Hand, Letter, Stroke
from strokes.matching import Aligned, Explanation, Runs, align, explain
from strokes.polyline import Polyline, resample, tangents
from strokes.report import Finding, Report, in_teaching_order
from strokes.tolerances import Tolerances
from strokes.weights import WEIGHTS

_FINDING_COST = {
    Kind.START: WEIGHTS.start_finding_cost,
    Kind.DIRECTION: WEIGHTS.direction_finding_cost,
    Kind.ORDER: WEIGHTS.order_finding_cost,
    Kind.EXTRA: WEIGHTS.extra_finding_cost,
    Kind.LIFT: WEIGHTS.lift_finding_cost,
    Kind.JOIN: WEIGHTS.join_finding_cost,
}
_NOT_WHOLE = frozenset(Kind) - {Kind.ORDER, Kind.DIRECTION, Kind.JOIN}
"""What may be found where the ink is not one whole letter."""


def check(
    ink: Ink,
    letter: Letter,
    *,
    guide: GuideLines | None = None,
    hand: Hand | None = None,
    tolerances: Tolerances | None = None,
) -> Report:
    """What is to be seen in `ink`, an attempt at `letter`.

    With `guide`, the lines in the ink's own space, size and place are judged; without it the ink may have any
    scale and place and they are not. `hand` admits the formations that are for that hand only; None
    admits none of them. Raises InkError when there is no ink; no ink that has a point raises anything else.
    """
    if not len(ink):
        raise InkError("ink must have at least one trace, not none")
    tolerances = tolerances or Tolerances()
    ink = _dotted(ink)
    traces = [trace.points for trace in ink.traces]
    accepted = letter.accepted(hand)
    told = explain(ink, accepted)
    lined = align(told, Runs(traces))
    moves = [movement(one, way, traces, tolerances) for one, way in zip(told, lined, strict=True)]
    weights = [
        one.cost
        + sum(_FINDING_COST.get(finding.kind, 0.0) for finding in found)
        + WEIGHTS.strayed_cost * len(legibility.strayed(one, way, tolerances))
        + WEIGHTS.inked_cost * sum(_inked(one, way, index) for index in one.missing)
        for one, way, found in zip(told, lined, moves, strict=True)
    ]
    best = int(np.argmin(weights))
    found = [*moves[best], *_noted(told[best].formation, moves[0])]
    if guide is not None:
        found = between_lines(told[best], found, traces, guide, tolerances)
    found += legibility.findings(ink, letter, told[best], lined[best], guide, hand, tolerances)
    if guide is not None and any(one.kind in _NOT_WHOLE and not one.note for one in found):
        first = second_copy(ink, letter, guide=guide, hand=hand)
        if first is not None:
            one = check(Ink(ink.traces[:first]), letter, guide=guide, hand=hand, tolerances=tolerances)
            return _with_copy(one, first, len(traces))
        kinds = frozenset(one.kind for one in found if not one.note)
        cost = told[best].cost
        found = (
            unfinished(ink, letter, guide=guide, hand=hand, tolerances=tolerances, cost=cost, kinds=kinds)
            or found
        )
    assigned = _assigned(told[best], len(traces))
    return Report(letter.name, told[best].formation, in_teaching_order(found), assigned)


def check_trace(
    trace: Polyline,
    formation: Formation,
    index: int,
    *,
    guide: GuideLines | None = None,
    placed: bool = True,
    tolerances: Tolerances | None = None,
) -> Finding | None:
    """Whether the trace just finished began elsewhere or ran backwards, as stroke `index` of `formation`.

    For use at pen-up, while the letter is not finished: a trace that stops short is judged on as much of
    the stroke as it is long, and its shape is not judged. While the pen is down, `live` tells the same of
    what is there. `guide` are the lines in the trace's space; with
    `placed`, x = 0 is where the letter's own x = 0 is, as when its starts are shown; else the trace may
    stand anywhere along the line.
    """
    live = LiveTrace(formation, index, guide=guide, placed=placed, tolerances=tolerances)
    return follow(live, trace)


def _with_copy(one: Report, first: int, count: int) -> Report:
    """The report on a letter behind which it was written once more."""
    found = in_teaching_order([*one.findings, Finding(Kind.EXTRA, 1, 0, trace=first, part=(0.0, 1.0))])
    return replace(one, findings=found, assigned=(*one.assigned, *[()] * (count - first)))


def _dotted(ink: Ink) -> Ink:
    """Ink of one place only, taps, is given a hair of length so that it can be fitted to anything."""
    left, top, right, bottom = ink.bounds
    if right > left or bottom > top:
        return ink
    hair = max(1e-6, 1e-6 * abs(left), 1e-6 * abs(top))
    return Ink.from_arrays([np.array([[left, top], [left + hair, top + hair]])] * len(ink))


def _assigned(explanation: Explanation, count: int) -> tuple[tuple[int, ...], ...]:
    table: list[tuple[int, ...]] = [()] * count
    for pairing in explanation.pairings:
        for trace in pairing.traces:
            table[trace] = pairing.strokes
    return tuple(table)


def _inked(explanation: Explanation, aligned: Sequence[Aligned], index: int) -> bool:
    """Whether half of a stroke that no trace stands for has ink: a stem that only the arch goes up on."""
    if not aligned:
        return False
    stroke, ahead = _probes(explanation.formation.strokes[index])
    ink = np.concatenate([one.drawn for one in aligned])
    ways = np.concatenate([tangents(one.drawn) for one in aligned])
    apart = stroke[:, None] - ink
    along = abs(ahead @ ways.T) > WEIGHTS.parallel
    near = (np.hypot(apart[..., 0], apart[..., 1]) < WEIGHTS.beside) & along
    return bool(near.any(axis=1).mean() >= WEIGHTS.inked_share)


@lru_cache(maxsize=4096)
def _probes(stroke: Stroke) -> tuple[Polyline, Polyline]:
    """Places along a stroke and its direction there."""
    places = resample(stroke.path, 16)
    return places, tangents(places)


def _noted(formation: Formation, against_taught: Sequence[Finding]) -> list[Finding]:
    """For a formation accepted with a note: what the taught one would have found of that kind."""
    return [replace(one, note=True) for one in against_taught if one.kind is formation.note]
