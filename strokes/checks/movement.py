"""How the pen moved, under one formation: where it began, which way it ran, in what order, how often."""

from __future__ import annotations

from collections.abc import Sequence
from functools import lru_cache

import numpy as np

from strokes.checks import legibility
from strokes.checks.starts import goes_down, start_gap
from strokes.kinds import Kind
from strokes.letter import GuideLines, Stroke
from strokes.matching import Aligned, Explanation, surely_turned
from strokes.polyline import Floats, Polyline, length, resample, tangents
from strokes.report import Finding
from strokes.tolerances import Tolerances
from strokes.weights import WEIGHTS


def movement(
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
    sure = surely_turned(pairing.taught_cost, pairing.cost)
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
        gap, limit = start_gap(_place(one.drawn[0]), strokes[first], tolerances, guide=None)
        if gap > limit:
            found.append(Finding(Kind.START, gap, limit, first, trace, at=_place(back.back(one.drawn[0]))))
    return found


def between_lines(
    explanation: Explanation,
    told: Sequence[Finding],
    traces: Sequence[Polyline],
    guide: GuideLines,
    tolerances: Tolerances,
) -> list[Finding]:
    """The findings `told` of how the pen moved, with the starts of stems and steep slants by the guide lines.

    A stem that is begun too low is fitted as a shorter letter; the lines show where it should have begun.
    How far the whole letter floats, by its fit or by its lowest place, is taken off.
    """
    strokes = explanation.formation.strokes
    lines = guide.to_letter_space()
    foot = max(float(lines.apply(trace)[:, 1].max()) for trace in traces)
    floats = min(legibility.baseline(explanation, guide), foot - explanation.formation.bounds[3], key=abs)
    begins = {one.strokes[0]: one.traces[0] for one in explanation.pairings}
    steep = {k: trace for k, trace in begins.items() if goes_down(strokes[k]) and not strokes[k].is_dot}
    found = [one for one in told if one.kind is not Kind.START or one.stroke not in steep]
    for index, trace in steep.items():
        if any(one.stroke == index for one in found):
            continue
        begun = traces[trace][:1]
        across = float(explanation.fit.apply(begun)[0, 0])
        down = float(lines.apply(begun)[0, 1]) - floats
        gap, limit = start_gap((across, down), strokes[index], tolerances, guide=guide)
        if gap > limit:
            found.append(Finding(Kind.START, gap, limit, index, trace, at=_place(begun[0])))
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
    return bool(_on(one, piece)[1].sum() >= WEIGHTS.written * span)


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
