"""Where strokes were begun: how far from their starts, by one rule for each kind of start."""

from __future__ import annotations

from collections.abc import Sequence
from functools import lru_cache
from math import hypot
from typing import Literal

import numpy as np

from strokes.checks.extent import baseline
from strokes.checks.measures import Measure, place
from strokes.checks.movement import begins_its_stroke, written
from strokes.ink import Ink
from strokes.kinds import Kind
from strokes.letter import GuideLines, Stroke
from strokes.matching import Aligned, Explanation
from strokes.polyline import Floats, Polyline, arc_lengths, corners, cut, length
from strokes.report import Finding
from strokes.weights import WEIGHTS


def starts(explanation: Explanation, aligned: Sequence[Aligned]) -> list[Measure]:
    """How far from its start each stroke was begun, by the fit of a formation."""
    fit, measures = explanation.fit, []
    for laid in aligned:
        if not begins_its_stroke(laid, explanation):
            continue
        index, stroke = laid.pairing.strokes[0], _begun_stroke(laid, explanation)
        across, down = place(laid.drawn[0])
        begun = fit.back_at(across, down)
        if stroke.is_loop:  # its shape shows no start: how far it is off is what lies between on paper
            across = stroke.start[0] + (across - stroke.start[0]) / fit.widened
        gap, tolerance = start_gap((across, down), stroke, guide=None, drawn=laid.drawn)
        measures.append(_start(gap, tolerance, index, laid.pairing.traces[0], begun))
    return measures


def starts_by_lines(
    explanation: Explanation,
    aligned: Sequence[Aligned],
    ink: Ink,
    by_fit: Sequence[Measure],
    *,
    guide: GuideLines,
    others: Sequence[Finding],
) -> list[Measure]:
    """The same between lines, where `by_fit` are the measures by the fit.

    The height of stems and steep slants is measured by the lines: a stem that is begun too low is fitted as
    a shorter letter, and the lines show where it should have begun. How far the whole letter floats is taken
    off. Of these strokes none is measured of which one of `others`, the findings on movement, speaks.
    """
    space, offset = guide.to_letter_space(), letter_offset(explanation, ink, guide)
    spoken_of = {finding.stroke for finding in others}
    of_stroke = {measure.stroke: measure for measure in by_fit}
    measures = []
    for laid in aligned:
        index, trace = laid.pairing.strokes[0], laid.pairing.traces[0]
        stroke = _begun_stroke(laid, explanation)
        if stroke.is_dot or not (goes_down(stroke) or rises(stroke) or hangs(stroke)):
            if index in of_stroke:
                measures.append(of_stroke[index])
        elif index not in spoken_of:
            first = place(ink.traces[trace].points[0])
            across, down = explanation.fit.at(*first)[0], space.at(*first)[1] - offset
            gap, tolerance = start_gap((across, down), stroke, guide=guide)
            measures.append(_start(gap, tolerance, index, trace, first))
    return measures


def _begun_stroke(laid: Aligned, explanation: Explanation) -> Stroke:
    """The stroke as it was begun: without a tick that leads in to it where the pen wrote none."""
    stroke = explanation.formation.strokes[laid.pairing.strokes[0]]
    tick = tick_of(stroke)
    return _without_tick(stroke) if tick and not written(laid, explanation, (0.0, tick)) else stroke


def _start(gap: float, tolerance: str, stroke: int, trace: int, at: tuple[float, float]) -> Measure:
    return Measure(kind=Kind.START, tolerance=tolerance, amount=gap, stroke=stroke, trace=trace, at=at)


def letter_offset(explanation: Explanation, ink: Ink, guide: GuideLines) -> float:
    """How far a whole letter hangs below its lines, by its fit or by its lowest place: the nearer to 0."""
    foot = guide.to_letter_space().at(0.0, ink.bounds[3])[1]
    return min(baseline(explanation, guide), foot - explanation.formation.bounds[3], key=abs)


def start_gap(
    begun: tuple[float, float], stroke: Stroke, *, guide: GuideLines | None, drawn: Polyline | None = None
) -> tuple[float, Literal["start", "stem", "dot"]]:
    """How far from its start a stroke was begun at a place in letter space, and which tolerance limits it.

    Each kind of start has its rule below; `guide` are the lines that show the height of a stem, and `drawn`
    is the ink in letter space where it is there already: it may lead to the start of a curve.
    """
    across, down = begun[0] - stroke.start[0], begun[1] - stroke.start[1]
    if stroke.is_dot:
        return _dot_gap(across, down), "dot"
    if guide is not None and rises(stroke):
        return _stem_gap_by_lines(across, begun[1], stroke.start[1], guide), "start"
    if goes_down(stroke) or hangs(stroke):
        if guide is not None:
            return _stem_gap_by_lines(across, begun[1], stroke.start[1], guide), "start"
        return _stem_gap(across, down, stroke), "stem" if _long_stem(stroke) else "start"
    return _curve_gap(across, down, begun, stroke, drawn), "start"


def _dot_gap(across: float, down: float) -> float:
    """A dot may float as high as it likes."""
    return hypot(across, max(0.0, down))


def _stem_gap_by_lines(across: float, begun: float, top: float, guide: GuideLines) -> float:
    """Of a stem or steep slant it is the height that is seen: too high counts as much as too low.

    How far aside it was begun is judged for itself and takes nothing from the room for its height, as in the
    table of accepted formations. A stem that ends between two lines, a t's, may reach the ascender line.
    """
    if begun < top < -1 - WEIGHTS.on_line:
        height = min(0.0, begun - min(top, (guide.ascender - guide.baseline) / guide.unit))
    else:
        height = begun - top
    return max(abs(height), WEIGHTS.aside * abs(across))


def _stem_gap(across: float, down: float, stroke: Stroke) -> float:
    """The height, too, and what is begun early counts less.

    How far a long stem rises beside its bowl is a writer's own measure: it has a tolerance of its own.
    """
    return _weighed(WEIGHTS.late_loop * down if down > 0 and stroke.is_loop else down, across)


def _curve_gap(
    across: float, down: float, begun: tuple[float, float], stroke: Stroke, drawn: Polyline | None
) -> float:
    """Along the stroke, round its curve; on a closed loop straight along, and nearly in full.

    A curve that the pen is led in to on a short hook is begun early, wherever that was: all of it is written.
    """
    x, y = heading(stroke)
    along, aside = across * x + down * y, across * y - down * x
    if stroke.is_loop:
        return _weighed(WEIGHTS.late_loop * along if along > 0 else along, aside)
    gap = _weighed(*(_round_the_curve(begun, stroke) if along > 0 else (along, aside)))
    early_gap = WEIGHTS.early * hypot(across, down)
    return early_gap if early_gap < gap and drawn is not None and _comes_by(drawn, stroke.start) else gap


def _comes_by(drawn: Polyline, start: tuple[float, float]) -> bool:
    """Whether the first of the ink, after its first point, passes the start."""
    apart = np.hypot(*(drawn[arc_lengths(drawn) <= WEIGHTS.hook] - start).T)
    nearest = int(np.argmin(apart))
    return bool(nearest > 0 and apart[nearest] < WEIGHTS.beside)


def _weighed(along: float, aside: float) -> float:
    """What is begun late counts in full, early or beside the stroke less: the pen still writes all of it."""
    return hypot(along if along > 0 else WEIGHTS.early * along, WEIGHTS.aside * aside)


def _round_the_curve(begun: tuple[float, float], stroke: Stroke) -> tuple[float, float]:
    """How far along the first part of a stroke the place nearest to this one is, and how far off."""
    ends, steps, size, along = _first_part(stroke)
    off = begun - ends
    shares = np.minimum(np.maximum((off * steps).sum(axis=1) / size, 0.0), 1.0)
    off -= shares[:, None] * steps
    away = np.hypot(off[:, 0], off[:, 1])
    nearest = int(away.argmin())
    return float(along[nearest] + shares[nearest] * size[nearest] ** 0.5), float(away[nearest])


@lru_cache(maxsize=4096)
def _first_part(stroke: Stroke) -> tuple[Polyline, Polyline, Floats, Floats]:
    """The pieces of a stroke's line in which it may be begun.

    Of each: where it begins, its step, the square of its length, and how far along it begins.
    """
    first = cut(stroke.path, 0.0, WEIGHTS.latest)
    steps = np.diff(first, axis=0)
    real = np.hypot(*steps.T) > 0
    steps = steps[real]
    return first[:-1][real], steps, (steps**2).sum(axis=1), arc_lengths(first)[:-1][real]


@lru_cache(maxsize=4096)
def tick_of(stroke: Stroke) -> float:
    """The share of a stroke before a corner that comes at once, as of a 7 that is led in to; 0 for none.

    Where the pen did not write it, the stroke is begun where it leads to.
    """
    turns = corners(stroke.path)
    return float(turns[0]) / length(stroke.path) if len(turns) and turns[0] < WEIGHTS.settled else 0.0


@lru_cache(maxsize=4096)
def _without_tick(stroke: Stroke) -> Stroke:
    total = length(stroke.path)
    return Stroke(cut(stroke.path, tick_of(stroke) * total, total))


def goes_down(stroke: Stroke) -> bool:
    """Whether it begins as a stem or a steep slant."""
    return heading(stroke)[1] > WEIGHTS.steep


@lru_cache(maxsize=4096)
def hangs(stroke: Stroke) -> bool:
    """Whether it begins at the top of a tall letter and goes down from there, however slanted, as a 6."""
    tall = stroke.start[1] < -1 - WEIGHTS.on_line and stroke.start[1] == stroke.path[:, 1].min()
    return bool(tall) and heading(stroke)[1] > WEIGHTS.sinks


@lru_cache(maxsize=4096)
def rises(stroke: Stroke) -> bool:
    """Whether it begins with a long straight line up, as some write an A, M or N."""
    first = cut(stroke.path, 0.0, WEIGHTS.long_stem)
    straight = np.hypot(*(first[-1] - first[0])) > WEIGHTS.straight_stem * WEIGHTS.long_stem
    return heading(stroke)[1] < -WEIGHTS.steep and bool(straight)


@lru_cache(maxsize=4096)
def heading(stroke: Stroke) -> tuple[float, float]:
    """The unit vector that the stroke begins along."""
    across, down = cut(stroke.path, 0.0, WEIGHTS.settled)[-1] - stroke.path[0]
    size = hypot(across, down)
    return (float(across / size), float(down / size)) if size > 0 else (0.0, 0.0)


@lru_cache(maxsize=4096)
def _long_stem(stroke: Stroke) -> bool:
    """Whether it begins with a straight line down that is longer than the x-height is tall."""
    long = WEIGHTS.long_stem
    first = cut(stroke.path, 0.0, long)
    return length(stroke.path) >= long and float(first[-1, 1] - first[0, 1]) > WEIGHTS.straight_stem * long
