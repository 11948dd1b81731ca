"""How the pen moved, under one formation: in what direction and order, how often; starts are in `starts`."""

from __future__ import annotations

from collections.abc import Sequence
from functools import lru_cache

import numpy as np

from strokes.checks.measures import Measure, place
from strokes.kinds import Kind
from strokes.letter import Stroke
from strokes.matching import Aligned, Explanation, surely_turned
from strokes.polyline import Floats, Polyline, length, resample, tangents
from strokes.weights import WEIGHTS


def movement(
    explanation: Explanation, aligned: Sequence[Aligned], traces: Sequence[Polyline], tiny: float
) -> list[Measure]:
    """What is missing, extra, joined, lifted, reversed or out of order, by the fit of a formation.

    One mark shorter than `tiny` x-heights is a slip and not extra; two such marks are dots, as those of an ä.
    """
    fit, strokes = explanation.fit, explanation.formation.strokes
    measures = [
        Measure(kind=Kind.MISSING, stroke=index, at=fit.back_at(*strokes[index].start))
        for index in explanation.missing
    ]
    slips = [index for index in explanation.extra if length(fit.apply(traces[index])) <= tiny]
    measures += [
        Measure(kind=Kind.EXTRA, trace=index, at=place(traces[index][0]))
        for index in explanation.extra
        if [index] != slips
    ]
    for laid in aligned:
        pairing = laid.pairing
        first, trace = pairing.strokes[0], pairing.traces[0]
        if len(pairing.strokes) > 1:
            second = fit.back_at(*strokes[pairing.strokes[1]].start)
            measures.append(
                Measure(kind=Kind.JOIN, stroke=first, trace=trace, at=second, order=pairing.strokes)
            )
        if len(pairing.traces) > 1:
            measures.append(Measure(kind=Kind.LIFT, stroke=first, trace=trace, at=place(traces[trace][-1])))
        measures += _directions_and_order(laid, explanation)
    written = [stroke for pairing in explanation.pairings for stroke in pairing.strokes]
    if written != sorted(written):
        measures.append(Measure(kind=Kind.ORDER, order=tuple(written)))
    return measures


def begins_its_stroke(aligned: Aligned, explanation: Explanation) -> bool:
    """Whether the pen came down where the stroke is to be begun: the start is no part of another finding.

    A stroke run backwards, or its pieces in another order, begins elsewhere; a first piece that is run
    backwards is found by its direction.
    """
    pairing = aligned.pairing
    if not surely_turned(pairing.taught_cost, pairing.cost):
        return True
    if _wholly_turned(aligned) or _reordered(aligned, explanation):
        return False
    traversal = pairing.traversal
    return all(traversal.order[k] for k, sign in enumerate(traversal.signs) if sign < 0)


def _directions_and_order(aligned: Aligned, explanation: Explanation) -> list[Measure]:
    """Direction and order inside one pairing."""
    pairing, traversal = aligned.pairing, aligned.pairing.traversal
    fit, strokes = explanation.fit, explanation.formation.strokes
    first, trace = pairing.strokes[0], pairing.traces[0]
    if not surely_turned(pairing.taught_cost, pairing.cost):
        return []
    if _wholly_turned(aligned):
        begun = fit.back_at(*place(aligned.drawn[0]))
        return [_direction(aligned, explanation, (0.0, 1.0), first, (0.0, 1.0), begun)]
    measures = []
    for piece, sign in zip(traversal.pieces, traversal.signs, strict=True):
        if sign > 0:
            continue
        joined = len(pairing.strokes) > 1
        stroke = pairing.strokes[int(piece[0])] if joined else first
        start = fit.back_at(*strokes[stroke].start)
        part = (0.0, 1.0) if joined else piece
        measures.append(_direction(aligned, explanation, piece, stroke, part, start))
    if _reordered(aligned, explanation):
        measures.append(Measure(kind=Kind.ORDER, stroke=first, trace=trace, order=traversal.order))
    return measures


def _direction(
    aligned: Aligned,
    explanation: Explanation,
    piece: tuple[float, float],
    stroke: int,
    part: tuple[float, float],
    at: tuple[float, float],
) -> Measure:
    """How much of a piece of a traversal runs backwards, as `part` of `stroke`."""
    return Measure(
        kind=Kind.DIRECTION,
        tolerance="backwards",
        amount=_backwards(aligned, explanation, piece),
        stroke=stroke,
        trace=aligned.pairing.traces[0],
        part=part,
        at=at,
    )


def _wholly_turned(aligned: Aligned) -> bool:
    """Whether one stroke is run from its end to its start."""
    return aligned.pairing.traversal.reversed_whole and len(aligned.pairing.strokes) == 1


def _reordered(aligned: Aligned, explanation: Explanation) -> bool:
    """Whether the pieces were written in another order than is taught."""
    traversal = aligned.pairing.traversal
    return not traversal.in_order and written(aligned, explanation, traversal.pieces[-1])


def _backwards(aligned: Aligned, explanation: Explanation, piece: tuple[float, float]) -> float:
    """Share of the ink's length on this piece of the stroke that runs against it, along the warping path."""
    pairing = aligned.pairing
    steps, size, places = _steps_on(aligned, piece)
    if not len(steps):
        return 0.0
    index = np.minimum(places.astype(int), len(pairing.strokes) - 1)
    ahead = np.empty_like(steps)
    for k, stroke in enumerate(pairing.strokes):
        on_stroke = index == k
        ahead[on_stroke] = _directions(explanation.formation.strokes[stroke], places[on_stroke] - k)
    against = (steps * ahead).sum(axis=1) < 0
    return float(size[against].sum() / size.sum())


def written(aligned: Aligned, explanation: Explanation, piece: tuple[float, float]) -> bool:
    """Whether a piece of a stroke has ink enough to say that it was written."""
    stroke = explanation.formation.strokes[aligned.pairing.strokes[0]]
    span = (piece[1] - piece[0]) * length(stroke.path)
    return bool(_steps_on(aligned, piece)[1].sum() >= WEIGHTS.written * span)


def _steps_on(aligned: Aligned, piece: tuple[float, float]) -> tuple[Polyline, Floats, Floats]:
    """The steps of the ink along a piece of the stroke: their vectors (steps, 2), lengths and places."""
    drawn = aligned.drawn[aligned.path[:, 0]]
    steps = drawn[1:] - drawn[:-1]
    size = np.hypot(steps[:, 0], steps[:, 1])
    places = aligned.places[1:]
    inside = (places > piece[0]) & (places < piece[1]) & (size > 0)
    return steps[inside], size[inside], places[inside]


def _directions(stroke: Stroke, shares: Floats) -> Polyline:
    """The taught direction at these shares of the length of a stroke."""
    ahead = _headings(stroke)
    here: Polyline = ahead[np.clip(np.rint(shares * 127).astype(int), 0, 127)]
    return here


@lru_cache(maxsize=4096)
def _headings(stroke: Stroke) -> Polyline:
    return tangents(resample(stroke.path, 128))
