"""How a letter was written: the front door `check`, and the findings about the pen's movement.

Every accepted formation explains the ink as cheaply as it can (`matching`); the one under which least is to
be mended is the one the child is judged by. How the letter looks is measured in `looks`.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from functools import lru_cache

import numpy as np

from strokes import looks
from strokes.alignment import Aligned, align
from strokes.errors import InkError
from strokes.ink import Ink
from strokes.letter import Formation, GuideLines, Hand, Letter, Stroke
from strokes.live import LiveTrace, follow
from strokes.matching import explain
from strokes.polyline import Floats, Polyline, length, resample, tangents
from strokes.report import Finding, Kind, Report
from strokes.runs import Runs
from strokes.starts import goes_down, start_gap
from strokes.stories import Explanation
from strokes.tolerances import Tolerances

FINDING_COST = {
    Kind.START: 0.1,
    Kind.DIRECTION: 0.1,
    Kind.ORDER: 0.1,
    Kind.EXTRA: 0.02,
    Kind.LIFT: 0.06,
    Kind.JOIN: 0.06,
}
"""What a finding weighs against warping cost when formations compete: being formed comes first.

What is missing or extra is in the warping cost already.
"""

STRAYED_COST = 0.05
"""What a stroke weighs that was drawn as another line, or left before its end."""

INKED_COST = 0.2
"""What a missing stroke weighs that has ink: the pen took it as a part of another stroke."""

BESIDE = 0.25
"""Ink nearer than this to a place of a stroke, in x-heights, and running its way, is ink of it."""

SURE = 1.5
"""The taught course must cost this many times the best one before the pen is said to have gone that way."""

_ORDER = list(Kind)


ALONG = 0.7
"""Cosine of the angle up to which ink runs a stroke's way, or against it: 45 degrees."""


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
    moves = [formation_findings(one, way, traces, tolerances) for one, way in zip(told, lined, strict=True)]
    weights = [
        one.cost
        + sum(FINDING_COST.get(finding.kind, 0.0) for finding in found)
        + STRAYED_COST * len(looks.strayed(one, way, tolerances))
        + INKED_COST * sum(_inked(one, way, index) for index in one.missing)
        for one, way, found in zip(told, lined, moves, strict=True)
    ]
    best = int(np.argmin(weights))
    found = [*moves[best], *_noted(told[best].formation, moves[0])]
    if guide is not None:
        found += _low_starts(told[best], found, traces, guide, tolerances)
    found += looks.findings(ink, letter, told[best], lined[best], guide, hand, tolerances)
    found.sort(key=lambda one: (_ORDER.index(one.kind), one.stroke or 0))
    return Report(letter.name, told[best].formation, tuple(found), _assigned(told[best], len(traces)))


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


def _dotted(ink: Ink) -> Ink:
    """Ink of one place only, a lone dot, is given a hair of length so that it can be fitted to anything."""
    left, top, right, bottom = ink.bounds
    if right > left or bottom > top:
        return ink
    hair = max(1e-6, 1e-6 * abs(left), 1e-6 * abs(top))
    return Ink.from_arrays([np.array([[left, top], [left + hair, top + hair]])])


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
    along = abs(ahead @ ways.T) > ALONG
    near = (np.hypot(apart[..., 0], apart[..., 1]) < BESIDE) & along
    return bool(near.any(axis=1).mean() >= 0.5)


@lru_cache(maxsize=4096)
def _probes(stroke: Stroke) -> tuple[Polyline, Polyline]:
    """Places along a stroke and its direction there."""
    places = resample(stroke.path, 16)
    return places, tangents(places)


def _noted(formation: Formation, against_taught: Sequence[Finding]) -> list[Finding]:
    """For a formation accepted with a note: what the taught one would have found of that kind."""
    return [replace(one, note=True) for one in against_taught if one.kind is formation.note]


def formation_findings(
    explanation: Explanation,
    aligned: Sequence[Aligned],
    traces: Sequence[Polyline],
    tolerances: Tolerances,
) -> list[Finding]:
    """The findings about how the pen moved, under one formation, as its fit lays the ink."""
    back = explanation.fit
    strokes = explanation.formation.strokes
    found = []
    for index in explanation.missing:
        found.append(Finding(Kind.MISSING, 1, 0, stroke=index, at=_place(back.back(strokes[index].path[0]))))
    for index in explanation.extra:
        drawn = explanation.fit.apply(traces[index])
        if length(drawn) > tolerances.tiny:
            found.append(Finding(Kind.EXTRA, 1, 0, trace=index, at=_place(traces[index][0])))
    for one in aligned:
        pairing = one.pairing
        first, trace = pairing.strokes[0], pairing.traces[0]
        if len(pairing.strokes) > 1:
            at = _place(back.back(strokes[pairing.strokes[1]].path[0]))
            found.append(Finding(Kind.JOIN, 1, 0, first, trace, at=at, order=pairing.strokes))
        if len(pairing.traces) > 1:
            found.append(Finding(Kind.LIFT, 1, 0, first, trace, at=_place(traces[trace][-1])))
        found += _ways(one, explanation, tolerances)
    taken = [stroke for pairing in explanation.pairings for stroke in pairing.strokes]
    if taken != sorted(taken):
        found.append(Finding(Kind.ORDER, 1, 0, order=tuple(taken)))
    return found


def _ways(one: Aligned, explanation: Explanation, tolerances: Tolerances) -> list[Finding]:
    """Start, direction and order inside one pairing."""
    pairing, course = one.pairing, one.pairing.course
    strokes = explanation.formation.strokes
    first, trace = pairing.strokes[0], pairing.traces[0]
    back = explanation.fit
    found = []
    sure = pairing.taught_cost > SURE * pairing.cost + 0.02
    turned = [k for k, sign in enumerate(course.signs) if sign < 0] if sure else []
    if turned and course.reversed_whole and len(pairing.strokes) == 1:
        share = _backwards(one, explanation, (0.0, 1.0))
        if share > tolerances.backwards:
            at = _place(back.back(one.drawn[0]))
            found.append(Finding(Kind.DIRECTION, share, tolerances.backwards, first, trace, (0.0, 1.0), at))
        return found
    for k in turned:
        piece = course.pieces[k]
        share = _backwards(one, explanation, piece)
        if share > tolerances.backwards:
            joined = len(pairing.strokes) > 1
            stroke = pairing.strokes[int(piece[0])] if joined else first
            part = (0.0, 1.0) if joined else piece
            at = _place(back.back(strokes[stroke].path[0]))
            found.append(Finding(Kind.DIRECTION, share, tolerances.backwards, stroke, trace, part, at))
    if sure and not course.in_order and _written(one, explanation, course.pieces[-1]):
        found.append(Finding(Kind.ORDER, 1, 0, first, trace, order=course.order))
    elif all(course.order[k] for k in turned):  # a first piece that is run backwards is told as that
        gap, limit = start_gap(_place(one.drawn[0]), strokes[first], tolerances, between_lines=False)
        if gap > limit:
            found.append(Finding(Kind.START, gap, limit, first, trace, at=_place(back.back(one.drawn[0]))))
    return found


def _low_starts(
    explanation: Explanation,
    told: Sequence[Finding],
    traces: Sequence[Polyline],
    guide: GuideLines,
    tolerances: Tolerances,
) -> list[Finding]:
    """Stems that are begun too high or too low between guide lines, where nothing is told of them yet.

    A stem that is begun too low is fitted as a shorter letter; the lines show where it should have begun.
    How far the whole letter floats, by its fit or by its lowest place, is taken off.
    """
    lines = guide.to_letter_space()
    foot = max(float(lines.apply(trace)[:, 1].max()) for trace in traces)
    floats = min(looks.baseline(explanation, guide), foot - explanation.formation.bounds[3], key=abs)
    found = []
    for pairing in explanation.pairings:
        index, trace = pairing.strokes[0], pairing.traces[0]
        stroke = explanation.formation.strokes[index]
        if stroke.is_dot or not goes_down(stroke) or any(one.stroke == index for one in told):
            continue
        gap = float(lines.apply(traces[trace][:1])[0, 1]) - floats - stroke.start[1]
        if abs(gap) > tolerances.start:
            at = _place(traces[trace][0])
            found.append(Finding(Kind.START, abs(gap), tolerances.start, index, trace, at=at))
    return found


def _backwards(one: Aligned, explanation: Explanation, piece: tuple[float, float]) -> float:
    """Share of the ink's length on this piece of the stroke that runs against it, along the warping path."""
    pairing = one.pairing
    steps, size, places = _on(one, piece)
    if not len(steps):
        return 0.0
    index = np.minimum(places.astype(int), len(pairing.strokes) - 1)
    ahead = np.empty_like(steps)
    for k, stroke in enumerate(pairing.strokes):
        mine = index == k
        ahead[mine] = _directions(explanation.formation.strokes[stroke], places[mine] - k)
    against = (steps * ahead).sum(axis=1) < 0
    return float(size[against].sum() / size.sum())


def _written(one: Aligned, explanation: Explanation, piece: tuple[float, float]) -> bool:
    """Whether a quarter of a piece of a stroke has ink: what the pen did not write, it did not write last."""
    span = (piece[1] - piece[0]) * length(explanation.formation.strokes[one.pairing.strokes[0]].path)
    return bool(_on(one, piece)[1].sum() >= span / 4)


def _on(one: Aligned, piece: tuple[float, float]) -> tuple[Polyline, Floats, Floats]:
    """The steps of the ink along a piece of the stroke: their ways (steps, 2), lengths and places."""
    ways = np.diff(one.drawn[one.way[:, 0]], axis=0)
    size = np.hypot(ways[:, 0], ways[:, 1])
    places = one.places[1:]
    inside = (places > piece[0]) & (places < piece[1]) & (size > 0)
    return ways[inside], size[inside], places[inside]


def _directions(stroke: Stroke, shares: Floats) -> Polyline:
    """The taught direction at these shares of the length of a stroke."""
    ahead = _headings(stroke)
    here: Polyline = ahead[np.clip(np.rint(shares * 127).astype(int), 0, 127)]
    return here


@lru_cache(maxsize=4096)
def _headings(stroke: Stroke) -> Polyline:
    return tangents(resample(stroke.path, 128))


def _place(point: Polyline) -> tuple[float, float]:
    return float(point[0]), float(point[1])
