"""Which trace stands for which stroke, run which way: ink explained by one formation.

1. The ink is fitted to the formation: box on box at first, by least squares along the warping paths then.
2. Each trace, or run of traces, is warped onto each stroke, or run of strokes, by every traversal: forwards,
   backwards, piece by piece, a loop begun elsewhere.
3. The cheapest assignment of traces to strokes under any hypothesis is the explanation.

Samples carry position and heading, so that a traversal in the wrong direction costs more than a clumsy one.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence

import numpy as np

from strokes.ink import Ink
from strokes.letter import Formation
from strokes.matching.alignment import refine
from strokes.matching.fitting import Guess, fits
from strokes.matching.hypotheses import (
    Alone,
    Explanation,
    Hypothesis,
    Job,
    Pair,
    Pairing,
    cheapest,
    hypotheses,
    price_idle,
)
from strokes.matching.lifts import NO_LIFTS, Lifts, lifts
from strokes.matching.runs import Runs, placed
from strokes.matching.samples import SAMPLES, headed
from strokes.matching.traversals import Traversal, headed_samples, joined_traversals, traversals
from strokes.polyline import Polyline
from strokes.warping import Lines, distances
from strokes.weights import WEIGHTS

_SHORT_COST = np.array([WEIGHTS.short_start_cost, WEIGHTS.short_end_cost])


def explain(ink: Ink, formations: Sequence[Formation]) -> list[Explanation]:
    """For each formation the cheapest assignment of the traces of this ink to its strokes.

    The ink must have at least one trace. All formations are warped together: what counts is the number of
    numpy calls, not the number of pairs.
    """
    runs = Runs([trace.points for trace in ink.traces])
    alone: Alone = {}
    joins = all(len(formation.strokes) != len(runs) for formation in formations)
    supposed = {
        id(formation): tuple(hypotheses(len(runs), formation, joins=joins)) for formation in formations
    }
    jobs = [
        _job(formation, guess, supposed[id(formation)])
        for formation in formations
        for guess in fits(runs.traces, formation)
    ]
    best: dict[int, Explanation] = {}
    _keep_cheapest(best, _evaluate(jobs, runs, alone))
    least = min(explanation.cost for explanation in best.values())
    most = WEIGHTS.hopeless * least + WEIGHTS.hopeless_missing * WEIGHTS.missing_cost
    hopeful = [explanation for explanation in best.values() if explanation.cost <= most]
    refined = [
        _job(explanation.formation, Guess(fit), supposed[id(explanation.formation)])
        for explanation, fit in zip(hopeful, refine(hopeful, runs), strict=True)
        if fit is not None
    ]
    _keep_cheapest(best, _evaluate(refined, runs, alone))
    return [best[id(formation)] for formation in formations]


def _keep_cheapest(best: dict[int, Explanation], explanations: Iterable[Explanation]) -> None:
    """Put into `best`, by formation, what costs less than what is there."""
    for explanation in explanations:
        key = id(explanation.formation)
        if key not in best or explanation.cost < best[key].cost:
            best[key] = explanation


def _options(formation: Formation, run: tuple[int, ...]) -> tuple[Traversal, ...]:
    if len(run) == 1:
        return traversals(formation.strokes[run[0]])
    return joined_traversals(tuple(formation.strokes[k] for k in run))


def _job(formation: Formation, guess: Guess, supposed: tuple[Hypothesis, ...]) -> Job:
    """One formation at one fit; what the fit takes to be one too many stands for nothing there."""
    fit, extra, missing = guess
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
    options = {column: _options(formation, column) for column in {column for _, column in wanted}}
    return Job(formation, fit, possible, wanted, options, runs=len(supposed) > 1)


def _stands_alone(number: int | None, groups: tuple[tuple[int, ...], ...]) -> bool:
    """Whether this trace or stroke, if any, is a group by itself."""
    return number is None or (number,) in groups


def _evaluate(jobs: Sequence[Job], runs: Runs, alone: Alone) -> list[Explanation]:
    """The cheapest assignment of each job: the pairs of all jobs are warped in one call.

    `alone` remembers what pairs of one trace and one stroke cost, at this fit and others.
    """
    if not jobs:
        return []
    lines: list[Polyline] = []
    which = [number for job in jobs for number in _lay_out(job, runs, lines)]
    models = [headed_samples(job.options[column]) for job in jobs for _, column in job.wanted]
    costs = _warp(lines, which, models)
    results = iter(zip((lines[number] for number in which), costs, strict=True))
    tables = [_pairings(job, results, alone) for job in jobs]
    explanations = []
    for job, table in zip(jobs, tables, strict=True):
        lifted = _lifts(job, runs)
        price_idle(job, table, alone, lifted)
        explanations.append(cheapest(job, table, len(runs), lifted))
    return explanations


def _lay_out(job: Job, runs: Runs, lines: list[Polyline]) -> list[int]:
    """Add the ink of a job to `lines`, each run once and again if placed as a dot; the line of each pair."""
    rows = {row: len(lines) + k for k, row in enumerate(dict.fromkeys(row for row, _ in job.wanted))}
    lines += [*job.fit.apply(np.array([runs.line(row) for row in rows]))]
    which = []
    for row, column in job.wanted:
        laid = placed(job.formation, column, lines[rows[row]])
        if laid is lines[rows[row]]:
            which.append(rows[row])
        else:
            which.append(len(lines))
            lines.append(laid)
    return which


def _warp(lines: Sequence[Polyline], which: Sequence[int], models: Sequence[Lines]) -> Iterator[list[float]]:
    """For each pair the cost of its line, by number, on each of its traversals."""
    counts = [len(model) for model in models]
    pairs = np.repeat(which, counts), np.arange(sum(counts))
    costs = (distances(headed(np.array(lines)), np.concatenate(models), which=pairs) / SAMPLES).tolist()
    at = 0
    for count in counts:
        yield costs[at : at + count]
        at += count


def _pairings(job: Job, results: Iterator[tuple[Polyline, list[float]]], alone: Alone) -> dict[Pair, Pairing]:
    """The pairs of a job, each by its cheapest traversal; the results are taken from those of all jobs."""
    table: dict[Pair, Pairing] = {}
    for (row, column), (line, costs) in zip(job.wanted, results, strict=False):
        least = min(costs)
        traversal = job.options[column][costs.index(least)]
        table[row, column] = Pairing(row, column, traversal, least, costs[0])
        if job.runs and len(row) == len(column) == 1:
            short = float(_SHORT_COST @ ((line[:: SAMPLES - 1] - traversal.ends) ** 2).sum(axis=1))
            if traversal.shift:  # a loop that is begun elsewhere lacks what was before
                short = np.inf
            key = id(job.formation), row, column
            alone.setdefault(key, []).append((job.fit.size, least + short))
    return table


def _lifts(job: Job, runs: Runs) -> Lifts:
    """The lifts by the fit of a job; none where there are no more traces than strokes."""
    return lifts(runs, job.fit) if len(runs) > len(job.formation.strokes) else NO_LIFTS
