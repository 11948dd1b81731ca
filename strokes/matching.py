"""Which trace stands for which stroke, run which way: ink explained by one formation.

1. The ink is fitted to the formation: box on box at first, by least squares along the warping paths then.
2. Each trace, or run of traces, is warped onto each stroke, or run of strokes, in every way a pen may have
   taken it: forwards, backwards, part by part, a loop begun elsewhere (the Courses).
3. Traces are assigned to strokes by least cost; a stroke may be missing, a trace may be extra, one trace
   may stand for strokes that were run together and several for one stroke that was lifted in.

Samples carry position and heading, so that a course that runs the wrong way costs more than a clumsy one.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from functools import lru_cache
from itertools import product
from typing import TypeAlias

import numpy as np

from strokes.courses import Course, courses, joined_courses
from strokes.fitting import MOST_RUNS, Fit, fits, proportioned
from strokes.ink import Ink
from strokes.letter import Formation
from strokes.polyline import Floats, Polyline, resample
from strokes.samples import SAMPLES, headed, run_line
from strokes.warping import Lines, WarpingPath, distances, paths

MISSING_COST = 0.13
"""Cost of one stroke or trace too many: 0.36 x-heights off everywhere."""

ALONE_COST = 0.5
"""Cost of each when a stroke and a trace could be paired and are not: a clumsy stroke is still a stroke."""

IDLE_COST = 0.3
"""Cost of a run in which one trace, or one stroke, brings nothing: the rest of the run alone fits better."""

HOPELESS = 2.0
"""A formation that costs so many times the best one, and half a stroke more, is not fitted again."""

IDLE, IDLE_LEAST = 0.9, 0.01
"""A run must cost less than one of its members alone, to this share and so much, or it is idle."""

RESIZED = 1.3
"""A fit that is larger than another by less than this leaves the letter its size."""

SHORT_COST = np.array([0.2, 0.1])
"""What each square x-height costs by which a member alone begins, or ends, apart from the stroke."""

LIFT_COST = 0.03
JOIN_COST = 0.06
"""Cost of a lift inside a stroke and of a join of two: the plainer story wins. Joins are weaker evidence."""

MARK = 0.8
"""A mark whose box has a smaller diagonal may be a dot, whatever its shape: a tick, a ring."""

HOP_COST = 0.05
"""Cost of a lift for each square x-height between where the pen went up and where it came down again."""

BEND_COST = 0.4
"""The same for how far it came down beside where it was going: who lifts in a stroke goes on with it."""

MOST_BEND = 0.1
"""At most so much for one: parts may be written in another order."""

GOING = 4
"""Samples of a trace, of SAMPLES, that show which way it was going at an end."""


@dataclass(frozen=True, eq=False)
class Pairing:
    """A run of traces that stands for a run of strokes: the best course, and the taught one beside it."""

    traces: tuple[int, ...]
    strokes: tuple[int, ...]
    course: Course
    cost: float
    taught_cost: float


@dataclass(frozen=True, eq=False)
class Explanation:
    """Ink explained by a formation: the fit, who stands for whom, what is left over, and the total cost."""

    formation: Formation
    fit: Fit
    pairings: tuple[Pairing, ...]
    missing: tuple[int, ...]
    extra: tuple[int, ...]
    cost: float


Story: TypeAlias = tuple[tuple[tuple[int, ...], ...], tuple[tuple[int, ...], ...]]
"""One way to group traces and strokes, so that a group may stand for a group."""

_Pair: TypeAlias = tuple[tuple[int, ...], tuple[int, ...]]

_Alone: TypeAlias = dict[tuple[int, tuple[int, ...], tuple[int, ...]], list[tuple[float, float]]]
"""By formation, trace and stroke: the size of each fit that was tried, and what the pairing costs in it."""


# --- assigning ----------------------------------------------------------------------------------------


def _runs(count: int) -> list[tuple[tuple[int, ...], ...]]:
    """All ways to cut 0 to count - 1 into runs of neighbors."""
    found = []
    for marks in product((False, True), repeat=count - 1):
        runs, run = [], [0]
        for k, mark in enumerate(marks, start=1):
            if mark:
                runs.append(tuple(run))
                run = []
            run.append(k)
        found.append((*runs, tuple(run)))
    return found


def _stories(drawn: int, formation: Formation, *, joins: bool) -> Iterator[Story]:
    """Ways to group traces and strokes so that a group may stand for one: plain, lifted or joined.

    A dot is never run together with anything: what is left of it then is no evidence. `joins` are told only
    where no formation has as many strokes as there are traces.
    """
    model = len(formation.strokes)
    dots = {k for k, stroke in enumerate(formation.strokes) if stroke.is_dot}
    plain_drawn = tuple((k,) for k in range(drawn))
    plain_model = tuple((k,) for k in range(model))
    yield plain_drawn, plain_model
    if max(drawn, model) > MOST_RUNS:
        return
    if drawn > model:
        yield from ((runs, plain_model) for runs in _runs(drawn) if model <= len(runs) < drawn)
    elif model > drawn and joins:
        for runs in _runs(model):
            if drawn <= len(runs) < model and not any(len(run) > 1 and dots & set(run) for run in runs):
                yield plain_drawn, runs


def _assign(costs: Floats) -> tuple[float, list[tuple[int, int]]]:
    """Rows to columns at the least total; what is left over on the longer side costs MISSING_COST."""
    rows, columns = costs.shape
    if rows == columns == 1:  # most letters are one trace
        return (float(costs[0, 0]), [(0, 0)]) if costs[0, 0] <= 2 * ALONE_COST else (2 * ALONE_COST, [])
    from scipy.optimize import linear_sum_assignment  # 0.3 s to import: not before a letter is judged

    square = _left_over(rows, columns).copy()
    square[:rows, :columns] = costs
    chosen_rows, chosen_columns = linear_sum_assignment(square)
    total = float(square[chosen_rows, chosen_columns].sum())
    pairs = [
        (int(row), int(column))
        for row, column in zip(chosen_rows, chosen_columns, strict=True)
        if row < rows and column < columns
    ]
    return total, pairs


@lru_cache
def _left_over(rows: int, columns: int) -> Floats:
    """A square in which each row and each column has a place for being left over; the rest is free."""
    square = np.full((rows + columns, rows + columns), 1e6)
    square[np.arange(rows), columns + np.arange(rows)] = MISSING_COST if rows > columns else ALONE_COST
    square[rows + np.arange(columns), np.arange(columns)] = MISSING_COST if columns > rows else ALONE_COST
    square[rows:, columns:] = 0.0
    return square


@dataclass(frozen=True, eq=False)
class _Job:
    """One formation at one fit: what has to be warped for it, and afterwards what came out."""

    formation: Formation
    fit: Fit
    stories: tuple[Story, ...]
    wanted: tuple[_Pair, ...]
    options: dict[tuple[int, ...], tuple[Course, ...]]


def explain(ink: Ink, formations: Sequence[Formation]) -> list[Explanation]:
    """For each formation the cheapest story of how this ink came from it.

    The ink must have at least one trace. All formations are warped together: what counts is the number of
    numpy calls, not the number of pairs.
    """
    traces = [trace.points for trace in ink.traces]
    lines: dict[tuple[int, ...], Polyline] = {}
    alone: _Alone = {}
    joins = all(len(one.strokes) != len(traces) for one in formations)
    stories = {id(one): tuple(_stories(len(traces), one, joins=joins)) for one in formations}
    jobs = [_job(one, fit, stories[id(one)]) for one in formations for fit in fits(traces, one)]
    told = _tell(jobs, traces, lines, alone)
    best: dict[int, Explanation] = {}
    for one in told:
        key = id(one.formation)
        if key not in best or one.cost < best[key].cost:
            best[key] = one
    least = min(one.cost for one in best.values())
    firsts = [one for one in best.values() if one.cost <= HOPELESS * least + MISSING_COST / 2]
    again = [
        _job(one.formation, fit, stories[id(one.formation)])
        for one, fit in zip(firsts, refine(firsts, traces, lines), strict=True)
        if fit is not None
    ]
    for one in _tell(again, traces, lines, alone):
        if one.cost < best[id(one.formation)].cost:
            best[id(one.formation)] = one
    return [best[id(one)] for one in formations]


def refine(
    explanations: Sequence[Explanation], traces: Sequence[Polyline], lines: dict[tuple[int, ...], Polyline]
) -> list[Fit | None]:
    """For each explanation the least-squares fit along its warping paths; None where there is none."""
    fitted: list[Fit | None] = []
    for explanation, aligned in zip(explanations, align(explanations, traces, lines), strict=True):
        if not aligned:
            fitted.append(None)
            continue
        strokes = explanation.formation.strokes
        plain = [one for one in aligned if not strokes[one.pairing.strokes[0]].is_dot]
        aligned = plain or aligned  # a dot may float anywhere above: it says nothing of the fit
        ways = [_met(one.way) for one in aligned]
        drawn = np.vstack(
            [explanation.fit.back(one.drawn[way[:, 0]]) for one, way in zip(aligned, ways, strict=True)]
        )
        model = np.vstack(
            [one.pairing.course.samples[way[:, 1]] for one, way in zip(aligned, ways, strict=True)]
        )
        fitted.append(proportioned(drawn, model))
    return fitted


def _met(way: WarpingPath) -> WarpingPath:
    """The path without what was left out at the ends: the course may run on where the ink stands still."""
    first = int(np.searchsorted(way[:, 0], 1)) - 1
    last = int(np.searchsorted(way[:, 0], way[-1, 0]))
    return way[max(0, first) : last + 1]


def _placed(formation: Formation, run: tuple[int, ...], drawn: Polyline) -> Polyline:
    """Ink for a run of strokes, in letter space; any small mark at any height is taken for a dot."""
    stroke = formation.strokes[run[0]]
    if len(run) > 1 or not stroke.is_dot:
        return drawn
    low, high = drawn.min(axis=0), drawn.max(axis=0)
    across, down = (low + high) / 2 - stroke.path.mean(axis=0)
    if float(np.hypot(*(high - low))) < MARK:
        laid: Polyline = resample(stroke.path, len(drawn)) + (across / 2, max(0.0, down))
    else:
        laid = drawn + (0.0, max(0.0, -down))
    return laid


def _line(
    row: tuple[int, ...], traces: Sequence[Polyline], lines: dict[tuple[int, ...], Polyline]
) -> Polyline:
    """The samples of a run of traces; `lines` remembers them."""
    if row not in lines:
        lines[row] = run_line([traces[k] for k in row], by_length=False)
    return lines[row]


@lru_cache(maxsize=4096)
def _headed(ways: tuple[Course, ...]) -> Lines:
    """The samples of all courses with their headings, (courses, SAMPLES, 4)."""
    return np.stack([course.headed for course in ways])


def _options(formation: Formation, run: tuple[int, ...]) -> tuple[Course, ...]:
    if len(run) == 1:
        return courses(formation.strokes[run[0]])
    return joined_courses(tuple(formation.strokes[k] for k in run))


def _job(formation: Formation, fit: Fit, stories: tuple[Story, ...]) -> _Job:
    wanted = tuple(
        dict.fromkeys((row, column) for drawn, model in stories for row in drawn for column in model)
    )
    options = {column: _options(formation, column) for column in {column for _, column in wanted}}
    return _Job(formation, fit, stories, wanted, options)


def _tell(
    jobs: Sequence[_Job],
    traces: Sequence[Polyline],
    lines: dict[tuple[int, ...], Polyline],
    alone: _Alone,
) -> list[Explanation]:
    """The cheapest story of each job.

    `lines` remembers the runs of traces that were resampled already, `alone` what single pairings cost.
    """
    drawn: list[Polyline] = []  # each laid row once, and each row that is placed as a dot
    which, model = [], []
    for job in jobs:
        ways = {column: _headed(job.options[column]) for column in job.options}
        rows = {row: len(drawn) + k for k, row in enumerate(dict.fromkeys(row for row, _ in job.wanted))}
        drawn += [*job.fit.apply(np.array([_line(row, traces, lines) for row in rows]))]
        for row, column in job.wanted:
            placed = _placed(job.formation, column, drawn[rows[row]])
            if placed is drawn[rows[row]]:
                which.append(rows[row])
            else:
                which.append(len(drawn))
                drawn.append(placed)
            model.append(ways[column])
    if not drawn:
        return []
    counts = [len(ways) for ways in model]
    first, second = np.repeat(which, counts), np.arange(sum(counts))
    costs = distances(headed(np.array(drawn)), np.concatenate(model), which=(first, second)) / SAMPLES
    told, tables, taken, inked = [], [], _pieces(costs.tolist(), counts), iter(which)
    for job in jobs:
        table: dict[_Pair, Pairing] = {}
        for row, column in job.wanted:
            mine, line = next(taken), drawn[next(inked)]
            least = min(mine)
            course = job.options[column][mine.index(least)]
            table[row, column] = Pairing(row, column, course, least, mine[0])
            if len(row) == len(column) == 1 and len(job.stories) > 1:
                short = float(SHORT_COST @ ((line[:: SAMPLES - 1] - course.ends) ** 2).sum(axis=1))
                if course.shift:  # a loop that is begun elsewhere lacks what was before
                    short = np.inf
                key = id(job.formation), row, column
                alone.setdefault(key, []).append((job.fit.size, least + short))
        tables.append(table)
    for job, table in zip(jobs, tables, strict=True):
        _price_idle(job, table, alone)
        told.append(_cheapest(job, table, len(traces), _lifts(job, traces, lines)))
    return told


def _pieces(numbers: list[float], counts: Sequence[int]) -> Iterator[list[float]]:
    """The numbers cut into pieces of these lengths."""
    at = 0
    for count in counts:
        yield numbers[at : at + count]
        at += count


def _lifts(
    job: _Job, traces: Sequence[Polyline], lines: dict[tuple[int, ...], Polyline]
) -> dict[tuple[int, ...], float]:
    """What the lifts of each run of several traces cost: the stories share their runs."""
    runs = {run for drawn, _ in job.stories for run in drawn if len(run) > 1}
    if not runs:
        return {}
    each = _lift_costs(_ends(job.fit, traces, lines))
    return {run: sum(each[run[0] : run[-1]]) for run in runs}


def _lift_costs(ends: Floats) -> list[float]:
    """What the lift between each trace and the next costs inside a run, given their `_ends`."""
    hops = ends[1:, 0, 0] - ends[:-1, 1, 0]
    size = np.hypot(hops[:, 0], hops[:, 1])[:, None]
    ahead = [size * _unit(ends[:-1, 1, 0] - ends[:-1, 1, 1]), size * _unit(ends[1:, 0, 1] - ends[1:, 0, 0])]
    beside = sum(((hops - way) ** 2).sum(axis=1) for way in ahead) / 2
    bends = np.minimum(BEND_COST * beside, MOST_BEND)
    costs: list[float] = (LIFT_COST + HOP_COST * size[:, 0] ** 2 + bends).tolist()
    return costs


def _ends(fit: Fit, traces: Sequence[Polyline], lines: dict[tuple[int, ...], Polyline]) -> Floats:
    """Start and end of each trace, each with a place further inside behind it: (traces, 2, 2, 2) by a fit."""
    inked = [_line((k,), traces, lines) for k in range(len(traces))]
    return fit.apply(np.array([((line[0], line[GOING]), (line[-1], line[-1 - GOING])) for line in inked]))


def _unit(steps: Floats) -> Floats:
    size = np.hypot(steps[:, 0], steps[:, 1])[:, None]
    unit: Floats = np.divide(steps, size, out=np.zeros_like(steps), where=size > 1e-9)
    return unit


def _price_idle(job: _Job, table: dict[_Pair, Pairing], alone: _Alone) -> None:
    """Add IDLE_COST to runs that hardly fit where one of their members alone does, from end to end.

    A stray mark behind a whole letter is no lift, and a stem without its bar is no join. The member may be
    fitted by itself, if the letter keeps its size: half a line is a whole line elsewhere.
    """
    mine = job.fit.size
    for (row, column), pairing in list(table.items()):
        if len(row) + len(column) == 2:
            continue
        members = [((one,), column) for one in row] if len(row) > 1 else [(row, (one,)) for one in column]
        least = min(
            cost
            for member in members
            for size, cost in alone[(id(job.formation), *member)]
            if 1 / RESIZED <= size / mine <= RESIZED
        )
        if least <= IDLE * pairing.cost + IDLE_LEAST:
            table[row, column] = replace(pairing, cost=pairing.cost + IDLE_COST)


def _cheapest(
    job: _Job, table: dict[_Pair, Pairing], count: int, lifts: dict[tuple[int, ...], float]
) -> Explanation:
    """The story with the least cost, given the cost of every pairing and of every lift."""
    strokes = len(job.formation.strokes)
    cost, chosen = np.inf, list[Pairing]()
    for drawn, model in job.stories:
        apart = sum(lifts.get(run, 0.0) for run in drawn) + JOIN_COST * (strokes - len(model))
        if apart >= cost:  # lifts and joins alone cost more than another story
            continue
        costs = np.array([[table[row, column].cost for column in model] for row in drawn])
        total, pairs = _assign(costs)
        each = [float(costs[pair]) for pair in pairs]
        total += max(each, default=0.0) - sum(each)  # not the sum: formations differ in their strokes
        total += apart
        if total < cost:
            cost, chosen = total, [table[drawn[row], model[column]] for row, column in pairs]
    pairings = tuple(sorted(chosen, key=lambda one: one.traces))
    used = {k for pairing in pairings for k in pairing.traces}
    done = {k for pairing in pairings for k in pairing.strokes}
    missing = tuple(k for k in range(strokes) if k not in done)
    extra = tuple(k for k in range(count) if k not in used)
    return Explanation(job.formation, job.fit, pairings, missing, extra, cost)


# --- alignment ----------------------------------------------------------------------------------------


@dataclass(frozen=True, eq=False)
class Aligned:
    """A pairing with its ink in letter space, `drawn` (SAMPLES, 2), and the warping path onto the course."""

    pairing: Pairing
    drawn: Polyline
    way: WarpingPath

    @property
    def gaps(self) -> Floats:
        """Distance from ink to course at each step of the warping path, in x-heights."""
        apart = self.drawn[self.way[:, 0]] - self.pairing.course.samples[self.way[:, 1]]
        return np.hypot(apart[:, 0], apart[:, 1])

    @property
    def places(self) -> Floats:
        """Where on the stroke the ink is at each step of the warping path, as `Course.places`."""
        return self.pairing.course.places[self.way[:, 1]]


def align(
    explanations: Sequence[Explanation],
    traces: Sequence[Polyline],
    lines: dict[tuple[int, ...], Polyline] | None = None,
) -> list[list[Aligned]]:
    """For each explanation the warping path of each of its pairings, by its best course."""
    lines = {} if lines is None else lines
    jobs = [(one, pairing) for one in explanations for pairing in one.pairings]
    if not jobs:
        return [[] for _ in explanations]
    drawn = [
        _placed(
            one.formation,
            pairing.strokes,
            one.fit.apply(_line(pairing.traces, traces, lines)),
        )
        for one, pairing in jobs
    ]
    models = [pairing.course.headed for _, pairing in jobs]
    _, ways = paths(headed(np.stack(drawn)), np.stack(models))
    aligned = iter(
        Aligned(pairing, line, way) for (_, pairing), line, way in zip(jobs, drawn, ways, strict=True)
    )
    return [[next(aligned) for _ in one.pairings] for one in explanations]
