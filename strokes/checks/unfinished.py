"""Ink between guide lines that is not one whole letter: its beginning, the letter twice, taps or a scribble.

A part of a letter often looks like another letter, and so do two beside each other. Between lines the size
and the height are known, so that such ink can be told from a letter that is all there and is another one.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from functools import lru_cache

import numpy as np

from strokes.ink import Ink
from strokes.kinds import NOT_FORMED, NOT_RIGHT, Kind
from strokes.letter import Formation, GuideLines, Hand, Letter
from strokes.matching import SAMPLES, headed
from strokes.polyline import Polyline, bounds, cut, length, resample
from strokes.report import Finding
from strokes.tolerances import Tolerances
from strokes.warping import distances
from strokes.weights import WEIGHTS

SHARES = tuple(float(share) for share in np.arange(WEIGHTS.stop_step, 1.0, WEIGHTS.stop_step))
"""Shares of a stroke at which a child may have stopped."""


def unfinished(
    ink: Ink,
    letter: Letter,
    *,
    guide: GuideLines,
    hand: Hand | None,
    tolerances: Tolerances,
    cost: float,
    kinds: frozenset[Kind],
) -> list[Finding]:
    """What is to be said of ink that is not one whole letter; nothing for ink that is.

    `cost` is what the best explanation of the ink as this letter costs, and `kinds` is what was found by it:
    a letter that is only small, or another letter, is whole. A beginning lacks the rest: MISSING
    with the part of the stroke where the pen stopped, and each stroke after it. Taps and scribbles lack the
    whole letter: MISSING without a stroke.
    """
    traces = [guide.to_letter_space().apply(trace.points) for trace in ink.traces]
    spans = [length(trace) for trace in traces]
    formations = letter.accepted(hand)
    dotted = any(stroke.is_dot for stroke in letter.taught.strokes)
    if sum(spans) < WEIGHTS.tapped * min(map(_span, formations)) and not (dotted and len(traces) == 1):
        return [Finding(Kind.MISSING, 1, 0)]
    small = kinds <= {Kind.SIZE, Kind.START}
    stopped = None if small else _beginning(traces, spans, formations, tolerances)
    if stopped is not None:
        formation, stroke, share = stopped
        rest = [Finding(Kind.MISSING, 1, 0, stroke=k) for k in range(stroke + 1, len(formation.strokes))]
        if share < 1:
            at = (float(ink.traces[-1].points[-1, 0]), float(ink.traces[-1].points[-1, 1]))
            part = (share, 1.0)
            return [Finding(Kind.MISSING, 1, 0, stroke, len(traces) - 1, part, at), *rest]
        return rest
    scribble = cost > WEIGHTS.scribble_cost and not kinds & NOT_FORMED & NOT_RIGHT
    return [Finding(Kind.MISSING, 1, 0)] if scribble else []


def second_copy(ink: Ink, letter: Letter, *, guide: GuideLines, hand: Hand | None) -> int | None:
    """The first trace of a second copy of a letter that is there already; None where there is none."""
    traces = [guide.to_letter_space().apply(trace.points) for trace in ink.traces]
    whole = [[stroke.path for stroke in formation.strokes] for formation in letter.accepted(hand)]
    for first in range(1, len(traces)):
        if all(_is_one_of(part, whole) for part in (traces[:first], traces[first:])):
            return first
    return None


def _is_one_of(traces: Sequence[Polyline], whole: Sequence[Sequence[Polyline]]) -> bool:
    alike = [model for model in whole if len(model) == len(traces)]
    return bool(alike) and min(_costs(traces, alike)) < WEIGHTS.near_cost


@lru_cache(maxsize=1024)
def _span(formation: Formation) -> float:
    return sum(length(stroke.path) for stroke in formation.strokes)


def _beginning(
    traces: Sequence[Polyline],
    spans: Sequence[float],
    formations: Sequence[Formation],
    tolerances: Tolerances,
) -> tuple[Formation, int, float] | None:
    """The formation that the ink begins, the stroke in which the pen stopped, and the share it got to.

    None where the ink is nearer to a whole letter, or begins none.
    """
    alike = [_span(formation) for formation in formations if len(formation.strokes) == len(traces)]
    if alike and sum(spans) >= WEIGHTS.whole * min(alike):
        return None
    asked = [
        (formation, share, model)
        for formation in formations
        if len(formation.strokes) >= len(traces)
        for share, model in _begun(formation, len(traces))
        if 1 / WEIGHTS.longer < sum(spans) / max(sum(map(length, model)), 1e-9) < WEIGHTS.longer
    ]
    if not asked:
        return None
    costs = _costs(traces, [model for _, _, model in asked])
    best = int(np.argmin(costs))
    formation, share, _ = asked[best]
    last = len(traces) - 1
    if (1 - share) * length(formation.strokes[last].path) <= tolerances.end:
        share = 1.0  # it stops no sooner than a stroke may
    if costs[best] > WEIGHTS.near_cost or (share == 1 and last + 1 == len(formation.strokes)):
        return None
    return formation, last, share


def _begun(formation: Formation, count: int) -> Iterator[tuple[float, list[Polyline]]]:
    """The first `count` strokes of a formation, the last of them stopped at each share, or whole."""
    paths = [stroke.path for stroke in formation.strokes[:count]]
    total = length(paths[-1])
    if not formation.strokes[count - 1].is_dot:
        for share in SHARES:
            yield share, [*paths[:-1], cut(paths[-1], 0.0, share * total)]
    yield 1.0, paths


def _costs(traces: Sequence[Polyline], models: Sequence[Sequence[Polyline]]) -> list[float]:
    """What the traces cost as each of these models, trace for line, wherever to the side it stands."""
    drawn = np.array([resample(trace, SAMPLES) for trace in traces])
    box = bounds(np.concatenate(traces))
    lines, models_beside = [], []
    for model in models:
        sampled = np.array([resample(line, SAMPLES) for line in model])
        edges = bounds(np.concatenate(model))
        sides = (box[0] - edges[0], box[2] - edges[2])
        for aside in (*sides, sum(sides) / 2):
            lines.append(drawn - (aside, 0.0))
            models_beside.append(sampled)
    laid, taught = np.concatenate(lines), np.concatenate(models_beside)
    each = np.arange(len(laid))
    costs = distances(headed(laid), headed(taught), which=(each, each)) / SAMPLES
    by_model = costs.reshape(len(models), 3, len(traces)).max(axis=2).min(axis=1)
    least: list[float] = by_model.tolist()
    return least
