"""Which trace stands for which stroke, run which way: ink explained by one formation.

1. The ink is fitted to the formation: box on box at first, by least squares along the warping paths then.
2. Each trace, or run of traces, is warped onto each stroke, or run of strokes, by every traversal: forwards,
   backwards, piece by piece, a loop begun elsewhere.
3. The cheapest assignment of traces to strokes under any hypothesis is the explanation.

Samples carry position and heading, so that a traversal in the wrong direction costs more than a clumsy one.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from functools import lru_cache

import numpy as np

from strokes.ink import Ink
from strokes.letter import Formation
from strokes.matching.alignment import refine
from strokes.matching.fitting import apply_each, fits
from strokes.matching.hypotheses import (
    Alone,
    Explanation,
    Job,
    Pair,
    Pairing,
    Plan,
    cheapest,
    hypotheses,
    price_idle,
)
from strokes.matching.lifts import NO_LIFTS, Lifts, lifts
from strokes.matching.runs import Runs, placed, stands_for_dot
from strokes.matching.samples import SAMPLES, headed
from strokes.matching.traversals import Traversal, headed_samples, joined_traversals, traversals
from strokes.polyline import Floats, Polyline
from strokes.warping import distances
from strokes.weights import WEIGHTS


def explain(ink: Ink, formations: Sequence[Formation]) -> list[Explanation]:
    """For each formation the cheapest assignment of the traces of this ink to its strokes.

    The ink must have at least one trace. All formations are warped together: what counts is the number of
    numpy calls, not the number of pairs.
    """
    runs = Runs([trace.points for trace in ink.traces])
    boxes = [trace.bounds for trace in ink.traces]
    alone: Alone = {}
    joins = all(len(formation.strokes) != len(runs) for formation in formations)
    jobs = [
        Job(formation, guess.fit, _plan(formation, len(runs), joins, guess.extra, guess.missing))
        for formation in formations
        for guess in fits(boxes, formation)
    ]
    best: dict[int, Explanation] = {}
    _evaluate(jobs, runs, alone, best)
    least = min(explanation.cost for explanation in best.values())
    most = WEIGHTS.hopeless * least + WEIGHTS.hopeless_missing * WEIGHTS.missing_cost
    hopeful = [explanation for explanation in best.values() if explanation.cost <= most]
    refined = [
        Job(explanation.formation, fit, _plan(explanation.formation, len(runs), joins, None, None))
        for explanation, fit in zip(hopeful, refine(hopeful), strict=True)
        if fit is not None
    ]
    _evaluate(refined, runs, alone, best)
    return [best[id(formation)] for formation in formations]


def _options(formation: Formation, run: tuple[int, ...]) -> tuple[Traversal, ...]:
    if len(run) == 1:
        return traversals(formation.strokes[run[0]])
    return joined_traversals(tuple(formation.strokes[k] for k in run))


@lru_cache(maxsize=1024)
def _plan(formation: Formation, count: int, joins: bool, extra: int | None, missing: int | None) -> Plan:
    """What is asked of a formation and `count` traces; what is one too many stands for nothing."""
    supposed = tuple(hypotheses(count, formation, joins=joins))
    possible = tuple(
        (drawn, model)
        for drawn, model in supposed
        if _stands_alone(extra, drawn) and _stands_alone(missing, model)
    )
    wanted = tuple(
        dict.fromkeys(
            (row, column)
            for drawn, model in possible
            for row in drawn
            for column in model
            if row != (extra,) and column != (missing,)
        )
    )
    options = tuple(_options(formation, column) for _, column in wanted)
    rows = {row: number for number, row in enumerate(dict.fromkeys(row for row, _ in wanted))}
    return Plan(
        possible,
        wanted,
        tuple(rows),
        tuple(rows[row] for row, _ in wanted),
        tuple(pair for pair, (_, column) in enumerate(wanted) if stands_for_dot(formation, column)),
        options,
        tuple(map(len, options)),
        np.concatenate([np.zeros((0, SAMPLES, 4)), *map(headed_samples, options)]),
        runs=len(supposed) > 1,
    )


def _stands_alone(number: int | None, groups: tuple[tuple[int, ...], ...]) -> bool:
    """Whether this trace or stroke, if any, is a group by itself."""
    return number is None or (number,) in groups


def _evaluate(jobs: Sequence[Job], runs: Runs, alone: Alone, best: dict[int, Explanation]) -> None:
    """Put into `best`, by formation, what costs less than what is there: all pairs are warped in one call.

    `alone` remembers what pairs of one trace and one stroke cost, at this fit and others.
    """
    if not jobs:
        return
    laid, which = _lay_out(jobs, runs)
    lines = headed(laid)
    results = iter(zip(which, _warp(lines, which, [job.plan for job in jobs]), strict=True))
    tables = [_pairings(job, lines, results, alone) for job in jobs]
    for job, table, lifted in zip(jobs, tables, _lifts(jobs, runs), strict=True):
        if job.plan.runs:
            price_idle(job, table, alone, lifted)
        key = id(job.formation)
        below = best[key].cost if key in best else np.inf
        explanation = cheapest(job, table, len(runs), lifted, below=below)
        if explanation is not None:
            best[key] = explanation


def _lay_out(jobs: Sequence[Job], runs: Runs) -> tuple[Floats, list[int]]:
    """The ink of all jobs, a run once a job and again if placed as a dot; the number of each pair's line."""
    lines = runs.lines([row for job in jobs for row in job.plan.rows])
    laid = apply_each([job.fit for job in jobs], [len(job.plan.rows) for job in jobs], lines)
    which: list[int] = []
    dots: list[Polyline] = []
    first = 0
    for job in jobs:
        plan = job.plan
        numbers = [first + row for row in plan.row_numbers]
        for pair in plan.dots:
            dots.append(placed(job.formation, plan.wanted[pair][1], laid[numbers[pair]]))
            numbers[pair] = len(laid) + len(dots) - 1
        which += numbers
        first += len(plan.rows)
    return (np.concatenate([laid, np.array(dots)]) if dots else laid), which


def _warp(lines: Floats, which: Sequence[int], plans: Sequence[Plan]) -> Iterator[list[float]]:
    """For each pair the cost of its line, by number, on each of its traversals."""
    models = np.concatenate([plan.models for plan in plans])
    counts = [count for plan in plans for count in plan.counts]
    pairs = np.array(which).repeat(counts), np.arange(len(models))
    costs = (distances(lines, models, which=pairs) / SAMPLES).tolist()
    at = 0
    for count in counts:
        yield costs[at : at + count]
        at += count


def _pairings(
    job: Job, lines: Floats, results: Iterator[tuple[int, list[float]]], alone: Alone
) -> dict[Pair, Pairing]:
    """The pairs of a job, each by its cheapest traversal; the results are taken from those of all jobs."""
    table: dict[Pair, Pairing] = {}
    plan = job.plan
    for (row, column), options, (number, costs) in zip(plan.wanted, plan.options, results, strict=False):
        least = min(costs)
        traversal = options[costs.index(least)]
        table[row, column] = Pairing(row, column, traversal, lines[number], least, costs[0])
        if plan.runs and len(row) == len(column) == 1:
            short = _short(lines[number], traversal)
            key = id(job.formation), row, column
            alone.setdefault(key, []).append((job.fit.size, least + short))
    return table


def _short(line: Polyline, traversal: Traversal) -> float:
    """What it costs that a line begins and ends elsewhere than a traversal."""
    if traversal.shift:  # a loop that is begun elsewhere lacks what was before
        return np.inf
    (x, y), (last_x, last_y) = line[:: SAMPLES - 1, :2].tolist()
    (start_x, start_y), (end_x, end_y) = traversal.ends
    start, end = (x - start_x) ** 2 + (y - start_y) ** 2, (last_x - end_x) ** 2 + (last_y - end_y) ** 2
    short: float = WEIGHTS.short_start_cost * start + WEIGHTS.short_end_cost * end
    return short


def _lifts(jobs: Sequence[Job], runs: Runs) -> Iterator[Lifts]:
    """The lifts by the fit of each job; none where there are no more traces than strokes."""
    lifted = [len(runs) > len(job.formation.strokes) for job in jobs]
    by_fit = iter(lifts(runs, [job.fit for job, any_lifts in zip(jobs, lifted, strict=True) if any_lifts]))
    return (next(by_fit) if any_lifts else NO_LIFTS for any_lifts in lifted)
