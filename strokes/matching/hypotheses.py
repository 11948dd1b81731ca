"""Hypotheses: how traces may be assigned to the strokes of a formation, each with its cost.

Traces are assigned to strokes by least cost; a stroke may be missing, a trace may be extra, one trace may
stand for strokes that were run together and several for one stroke that was lifted in.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from functools import lru_cache
from itertools import product
from typing import NamedTuple, TypeAlias

import numpy as np
from numpy.typing import NDArray

from strokes.letter import Formation
from strokes.matching.fitting import Fit
from strokes.matching.lifts import Lifts
from strokes.matching.traversals import Traversal
from strokes.polyline import Floats, Polyline, length
from strokes.weights import WEIGHTS

NEVER = 1e6
"""What is not to be paired costs so much."""


class Pairing(NamedTuple):
    """A run of traces that stands for a run of strokes: the best traversal, and the taught one's cost.

    `headed` (SAMPLES, 4) is its ink in letter space, with headings.
    """

    traces: tuple[int, ...]
    strokes: tuple[int, ...]
    traversal: Traversal
    headed: Floats
    cost: float
    taught_cost: float

    @property
    def drawn(self) -> Polyline:
        """Its ink in letter space, (SAMPLES, 2)."""
        return self.headed[:, :2]


@dataclass(frozen=True, eq=False)
class Explanation:
    """Ink explained by a formation: the fit, what traces stand for, what is left over, and the total cost."""

    formation: Formation
    fit: Fit
    pairings: tuple[Pairing, ...]
    missing: tuple[int, ...]
    extra: tuple[int, ...]
    cost: float

    @property
    def lacks(self) -> float:
        """What is missing, as a share of the length of all strokes."""
        if not self.missing:
            return 0.0
        spans = [length(stroke.path) for stroke in self.formation.strokes]
        return sum(spans[k] for k in self.missing) / sum(spans)


Hypothesis: TypeAlias = tuple[tuple[tuple[int, ...], ...], tuple[tuple[int, ...], ...]]
"""Traces and strokes in groups: a group of the ones may stand for a group of the others."""

Pair: TypeAlias = tuple[tuple[int, ...], tuple[int, ...]]

Alone: TypeAlias = dict[tuple[int, tuple[int, ...], tuple[int, ...]], list[tuple[float, float]]]
"""By formation, trace and stroke: the size of each fit that was tried, and what the pairing costs in it."""


@dataclass(frozen=True, eq=False)
class Plan:
    """What is asked of a formation and a number of traces, whatever the ink: hypotheses, pairs to be warped.

    `rows` are the runs of traces among the pairs `wanted`, `dots` the numbers of the pairs with a dot. For
    each pair, `row_numbers` has the number of its run, `options` are the traversals of its strokes and
    `counts` how many these are; `models` are the samples of all of them with headings, one after the other.
    `runs` is whether there are hypotheses with runs, in this plan or another.
    """

    hypotheses: tuple[Hypothesis, ...]
    wanted: tuple[Pair, ...]
    rows: tuple[tuple[int, ...], ...]
    row_numbers: tuple[int, ...]
    dots: tuple[int, ...]
    options: tuple[tuple[Traversal, ...], ...]
    counts: tuple[int, ...]
    models: Floats
    runs: bool


class Job(NamedTuple):
    """One formation at one fit, and its plan."""

    formation: Formation
    fit: Fit
    plan: Plan


def _runs(count: int) -> list[tuple[tuple[int, ...], ...]]:
    """0 to count - 1 cut into runs of neighbors, wherever it can be cut."""
    every = []
    for marks in product((False, True), repeat=count - 1):
        runs, run = [], [0]
        for k, mark in enumerate(marks, start=1):
            if mark:
                runs.append(tuple(run))
                run = []
            run.append(k)
        every.append((*runs, tuple(run)))
    return every


def hypotheses(drawn: int, formation: Formation, *, joins: bool) -> Iterator[Hypothesis]:
    """The groups in which traces may stand for strokes: one for one, strokes lifted in, or strokes joined.

    A dot is never run together with anything: what is left of it then is no evidence. With `joins` strokes
    may be joined: only where no formation has as many strokes as there are traces.
    """
    model = len(formation.strokes)
    dots = {k for k, stroke in enumerate(formation.strokes) if stroke.is_dot}
    plain_drawn = tuple((k,) for k in range(drawn))
    plain_model = tuple((k,) for k in range(model))
    yield plain_drawn, plain_model
    if max(drawn, model) > WEIGHTS.most_runs:
        return
    if drawn > model:
        yield from ((runs, plain_model) for runs in _runs(drawn) if model <= len(runs) < drawn)
    elif model > drawn and joins:
        for runs in _runs(model):
            if drawn <= len(runs) < model and not any(len(run) > 1 and dots & set(run) for run in runs):
                yield plain_drawn, runs


def _assign(costs: Sequence[Sequence[float]]) -> list[tuple[int, int]]:
    """Rows to columns at the least total, with those that are left over at what `_alone` says."""
    solve = _solver()
    cheap = _each_its_cheapest(costs)
    if cheap is not None:
        return list(cheap.items())
    rows, columns = len(costs), len(costs[0])
    square = _left_over(rows, columns).copy()
    square[:rows, :columns] = costs
    return [
        (int(row), int(column))
        for row, column in zip(*solve(square), strict=True)
        if row < rows and column < columns
    ]


def _alone(rows: int, columns: int) -> tuple[float, float]:
    """What a row that is left over costs, and a column: less on the side of which none need be."""
    missing, alone = WEIGHTS.missing_cost, WEIGHTS.alone_cost
    return missing if rows > columns else alone, missing if columns > rows else alone


@lru_cache
def _solver() -> Callable[[Floats], tuple[NDArray[np.intp], NDArray[np.intp]]]:
    """The solver of assignments, 0.3 s to import: at the first letter, so that no later one waits for it."""
    from scipy.optimize import linear_sum_assignment

    solver: Callable[[Floats], tuple[NDArray[np.intp], NDArray[np.intp]]] = linear_sum_assignment
    return solver


def _each_its_cheapest(costs: Sequence[Sequence[float]]) -> dict[int, int] | None:
    """The column of each row, where each of the shorter side has its cheapest partner for itself alone.

    No assignment is cheaper then. None where two have the same partner, where two partners cost the same, or
    where it may be cheaper to leave both sides of a pair over.
    """
    rows, columns = len(costs), len(costs[0])
    if rows > columns:
        turned = _each_its_cheapest(list(zip(*costs, strict=True)))
        return None if turned is None else dict(sorted((row, column) for column, row in turned.items()))
    apart = sum(_alone(rows, columns))
    cheap: dict[int, int] = {}
    for row, of_row in enumerate(costs):
        least = min(of_row)
        if least >= apart or of_row.count(least) > 1:
            return None
        cheap[row] = of_row.index(least)
    return cheap if len(set(cheap.values())) == rows else None


@lru_cache
def _left_over(rows: int, columns: int) -> Floats:
    """A square in which each row and each column has a place for being left over; the rest is free."""
    square = np.full((rows + columns, rows + columns), NEVER)
    row_cost, column_cost = _alone(rows, columns)
    square[np.arange(rows), columns + np.arange(rows)] = row_cost
    square[rows + np.arange(columns), np.arange(columns)] = column_cost
    square[rows:, columns:] = 0.0
    return square


def price_idle(job: Job, table: dict[Pair, Pairing], alone: Alone, lifts: Lifts) -> None:
    """Add `Weights.idle_cost` to runs that hardly fit where one of their members alone does, from end to end.

    A stray mark behind a whole letter is no lift, and a stem without its bar is no join. The member may be
    fitted by itself, if the letter keeps its size: half a line is a whole line elsewhere. What goes straight
    on into the member is its beginning, though, and not idle.
    """
    own_size = job.fit.size
    for (row, column), pairing in list(table.items()):
        if len(row) + len(column) == 2:
            continue
        if len(row) > 1:
            members: list[Pair] = [
                ((trace,), column)
                for trace in row
                if trace == row[0] or not all(lifts.straight[row[0] : trace])
            ]
        else:
            members = [(row, (stroke,)) for stroke in column]
        least = min(
            cost
            for member in members
            for size, cost in alone[(id(job.formation), *member)]
            if 1 / WEIGHTS.resized <= size / own_size <= WEIGHTS.resized
        )
        if least <= WEIGHTS.idle_share * pairing.cost + WEIGHTS.idle_margin:
            table[row, column] = pairing._replace(cost=pairing.cost + WEIGHTS.idle_cost)


def cheapest(
    job: Job, table: dict[Pair, Pairing], count: int, lifts: Lifts, *, below: float
) -> Explanation | None:
    """The assignment with the least cost, by what each pairing costs and the lift behind each trace.

    None where none costs less than `below`.
    """
    strokes = len(job.formation.strokes)
    cost, chosen = below, None
    prices = {pair: pairing.cost for pair, pairing in table.items()}
    for drawn, model in job.plan.hypotheses:
        sides = len(drawn), len(model)
        total = WEIGHTS.join_cost * (strokes - len(model)) + WEIGHTS.missing_cost * (max(sides) - min(sides))
        if lifts.costs:
            total += sum(sum(lifts.costs[run[0] : run[-1]]) for run in drawn)
        if total >= cost:  # lifts, joins and what must be left over cost more than another hypothesis
            continue
        costs = [[prices.get((row, column), NEVER) for column in model] for row in drawn]
        pairs = _assign(costs)
        if len(pairs) < min(sides):
            total += sum(_alone(*sides)) * (min(sides) - len(pairs))
        if pairs:  # the largest, not the sum: formations differ in their strokes
            total += max([costs[row][column] for row, column in pairs])
        if len(pairs) < len(drawn):
            paired = {trace for row, _ in pairs for trace in drawn[row]}
            total += WEIGHTS.piece_cost * sum(
                any(lifts.straight[max(0, trace - 1) : trace + 1])
                for trace in range(count)
                if trace not in paired
            )
        if total < cost:
            cost, chosen = total, [table[drawn[row], model[column]] for row, column in pairs]
    if chosen is None:
        return None
    pairings = tuple(sorted(chosen, key=lambda pairing: pairing.traces))
    used = {k for pairing in pairings for k in pairing.traces}
    done = {k for pairing in pairings for k in pairing.strokes}
    missing = tuple(k for k in range(strokes) if k not in done)
    extra = tuple(k for k in range(count) if k not in used)
    return Explanation(job.formation, job.fit, pairings, missing, extra, cost)
