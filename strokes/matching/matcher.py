"""Which trace stands for which stroke, run which way: ink explained by one formation.

1. The ink is fitted to the formation: box on box at first, by least squares along the warping paths then.
2. Each trace, or run of traces, is warped onto each stroke, or run of strokes, in every way a pen may have
   taken it: forwards, backwards, part by part, a loop begun elsewhere (the Courses).
3. The cheapest of the stories that these pairings can tell is the explanation.

Samples carry position and heading, so that a course that runs the wrong way costs more than a clumsy one.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from functools import lru_cache

import numpy as np

from strokes.ink import Ink
from strokes.letter import Formation
from strokes.matching.alignment import refine
from strokes.matching.fitting import Guess, fits
from strokes.matching.hypotheses import (
    Alone,
    Explanation,
    Job,
    Pair,
    Pairing,
    Story,
    cheapest,
    price_idle,
    stories,
)
from strokes.matching.lifts import lift_costs
from strokes.matching.runs import Runs, placed
from strokes.matching.samples import SAMPLES, headed
from strokes.matching.traversals import Course, courses, joined_courses
from strokes.polyline import Polyline
from strokes.warping import Lines, distances
from strokes.weights import WEIGHTS

_SHORT_COST = np.array([WEIGHTS.short_start_cost, WEIGHTS.short_end_cost])


def explain(ink: Ink, formations: Sequence[Formation]) -> list[Explanation]:
    """For each formation the cheapest story of how this ink came from it.

    The ink must have at least one trace. All formations are warped together: what counts is the number of
    numpy calls, not the number of pairs.
    """
    runs = Runs([trace.points for trace in ink.traces])
    alone: Alone = {}
    joins = all(len(one.strokes) != len(runs) for one in formations)
    told_by = {id(one): tuple(stories(len(runs), one, joins=joins)) for one in formations}
    jobs = [_job(one, guess, told_by[id(one)]) for one in formations for guess in fits(runs.traces, one)]
    told = _tell(jobs, runs, alone)
    best: dict[int, Explanation] = {}
    for one in told:
        key = id(one.formation)
        if key not in best or one.cost < best[key].cost:
            best[key] = one
    least = min(one.cost for one in best.values())
    most = WEIGHTS.hopeless * least + WEIGHTS.hopeless_missing * WEIGHTS.missing_cost
    firsts = [one for one in best.values() if one.cost <= most]
    again = [
        _job(one.formation, Guess(fit), told_by[id(one.formation)])
        for one, fit in zip(firsts, refine(firsts, runs), strict=True)
        if fit is not None
    ]
    for one in _tell(again, runs, alone):
        if one.cost < best[id(one.formation)].cost:
            best[id(one.formation)] = one
    return [best[id(one)] for one in formations]


@lru_cache(maxsize=4096)
def _headed(ways: tuple[Course, ...]) -> Lines:
    """The samples of all courses with their headings, (courses, SAMPLES, 4)."""
    return np.stack([course.headed for course in ways])


def _options(formation: Formation, run: tuple[int, ...]) -> tuple[Course, ...]:
    if len(run) == 1:
        return courses(formation.strokes[run[0]])
    return joined_courses(tuple(formation.strokes[k] for k in run))


def _job(formation: Formation, guess: Guess, told: tuple[Story, ...]) -> Job:
    """One formation at one fit; what the fit takes to be one too many stands for nothing there."""
    fit, extra, missing = guess
    ways = tuple((drawn, model) for drawn, model in told if _alone(extra, drawn) and _alone(missing, model))
    wanted = tuple(
        dict.fromkeys(
            (row, column)
            for drawn, model in ways
            for row in drawn
            for column in model
            if row != (extra,) and column != (missing,)
        )
    )
    options = {column: _options(formation, column) for column in {column for _, column in wanted}}
    return Job(formation, fit, ways, wanted, options, runs=len(told) > 1)


def _alone(one: int | None, groups: tuple[tuple[int, ...], ...]) -> bool:
    """Whether this one, if any, is a group by itself."""
    return one is None or (one,) in groups


def _tell(jobs: Sequence[Job], runs: Runs, alone: Alone) -> list[Explanation]:
    """The cheapest story of each job; `alone` remembers what single pairings cost."""
    drawn: list[Polyline] = []  # each laid row once, and each row that is placed as a dot
    which, model = [], []
    for job in jobs:
        ways = {column: _headed(job.options[column]) for column in job.options}
        rows = {row: len(drawn) + k for k, row in enumerate(dict.fromkeys(row for row, _ in job.wanted))}
        drawn += [*job.fit.apply(np.array([runs.line(row) for row in rows]))]
        for row, column in job.wanted:
            laid = placed(job.formation, column, drawn[rows[row]])
            if laid is drawn[rows[row]]:
                which.append(rows[row])
            else:
                which.append(len(drawn))
                drawn.append(laid)
            model.append(ways[column])
    if not drawn:
        return []
    counts = [len(ways) for ways in model]
    first, second = np.repeat(which, counts), np.arange(sum(counts))
    costs = distances(headed(np.array(drawn)), np.concatenate(model), which=(first, second)) / SAMPLES
    told, tables, taken, inked = [], [], _pieces(costs.tolist(), counts), iter(which)
    for job in jobs:
        table: dict[Pair, Pairing] = {}
        for row, column in job.wanted:
            mine, line = next(taken), drawn[next(inked)]
            least = min(mine)
            course = job.options[column][mine.index(least)]
            table[row, column] = Pairing(row, column, course, least, mine[0])
            if job.runs and len(row) == len(column) == 1:
                short = float(_SHORT_COST @ ((line[:: SAMPLES - 1] - course.ends) ** 2).sum(axis=1))
                if course.shift:  # a loop that is begun elsewhere lacks what was before
                    short = np.inf
                key = id(job.formation), row, column
                alone.setdefault(key, []).append((job.fit.size, least + short))
        tables.append(table)
    for job, table in zip(jobs, tables, strict=True):
        lifts = _lifts(job, runs)
        price_idle(job, table, alone, lifts)
        told.append(cheapest(job, table, len(runs), lifts))
    return told


def _pieces(numbers: list[float], counts: Sequence[int]) -> Iterator[list[float]]:
    """The numbers cut into pieces of these lengths."""
    at = 0
    for count in counts:
        yield numbers[at : at + count]
        at += count


def _lifts(job: Job, runs: Runs) -> list[float]:
    """What the lift behind each trace costs inside a run; empty where no story has a run of several."""
    several = any(len(run) > 1 for drawn, _ in job.stories for run in drawn)
    return lift_costs(runs, job.fit) if several else []
