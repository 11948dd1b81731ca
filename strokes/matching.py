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
from functools import cached_property, lru_cache
from itertools import combinations, pairwise, product
from typing import TypeAlias

import numpy as np

from strokes.ink import Ink
from strokes.letter import DOT_LENGTH, Formation, Stroke
from strokes.polyline import Floats, Polyline, arc_lengths, bounds, corners, cut, length, points_at, resample
from strokes.transform import Transform
from strokes.warping import WarpingPath, distances, paths

SAMPLES = 32
"""Samples a course: 64 told no more about whole letters and cost four times as much (tests/benchmarks)."""

HEADING = 0.35
"""What a unit of heading weighs against an x-height of distance: backwards is 0.7 x-heights off."""

LOOP_GAP = 0.15
"""A piece whose ends are nearer than this, in x-heights, is a loop, which may be begun anywhere."""

LOOP_STARTS = 8
"""Places at which a loop is tried to have begun: every 45 degrees."""

MISSING_COST = 0.13
"""Cost of one stroke or trace too many: 0.36 x-heights off everywhere."""

ALONE_COST = 0.5
"""Cost of each when a stroke and a trace could be paired and are not: a clumsy stroke is still a stroke."""

IDLE_COST = 0.3
"""Cost of a run in which one trace, or one stroke, brings nothing: the rest of the run alone fits better."""

LIFT_COST = 0.03
JOIN_COST = 0.06
"""Cost of a lift inside a stroke and of a join of two: the plainer story wins. Joins are weaker evidence."""

STRETCH = 1.35
"""How far the two axes may be scaled apart when ink is fitted: a letter may be narrow or wide."""

LEVEL = 0.1
"""How firmly the two axes are held to one scale, as a share of the ink's spread."""

THIN = 0.2
"""A model whose one side is less than this share of the other is fitted by the long side alone."""

MOST_RUNS = 5
"""With more strokes or traces than this only one to one is tried: a scribble must not cost seconds."""


@dataclass(frozen=True, eq=False)
class Course:
    """One way a pen may take a stroke, or a run of strokes.

    `samples` (SAMPLES, 2) along it. `places` (SAMPLES,) is where on the stroke each sample lies, as a share
    of its length (run k of a joined run is k + share). `pieces` are the pieces in the order they are
    taken, `signs` +1 or -1 for each: whether it is run as taught. `shift` is the share of the first piece, a
    loop, at which it is begun.
    """

    samples: Polyline
    places: Floats
    pieces: tuple[tuple[float, float], ...]
    signs: tuple[int, ...]
    order: tuple[int, ...]
    shift: float = 0.0

    @cached_property
    def headed(self) -> Floats:
        """The samples with their headings, (SAMPLES, 4)."""
        return headed(self.samples)

    @property
    def as_taught(self) -> bool:
        """Whether it is the way that is taught."""
        return min(self.signs) > 0 and self.shift == 0.0 and self.order == tuple(range(len(self.order)))


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
    fit: Transform
    pairings: tuple[Pairing, ...]
    missing: tuple[int, ...]
    extra: tuple[int, ...]
    cost: float


def weigh_headings(samples: Floats, weight: float) -> Floats:
    """(..., n, 2) positions with their unit headings times `weight` behind them: (..., n, 4)."""
    around = np.empty_like(samples)
    around[..., 1:-1, :] = samples[..., 2:, :] - samples[..., :-2, :]
    around[..., 0, :] = samples[..., 1, :] - samples[..., 0, :]
    around[..., -1, :] = samples[..., -1, :] - samples[..., -2, :]
    size = np.hypot(around[..., 0], around[..., 1])[..., None]
    heading = np.divide(around, size, out=np.zeros_like(around), where=size > 1e-9)
    return np.concatenate([samples, weight * heading], axis=-1)


def headed(samples: Floats) -> Floats:
    """Positions in letter space with their headings, weighed by HEADING; a dot has none."""
    steps = np.diff(samples, axis=-2)
    run = np.hypot(steps[..., 0], steps[..., 1]).sum(axis=-1)[..., None, None]
    return weigh_headings(samples, HEADING) * np.where(run < DOT_LENGTH, _NO_HEADING, 1.0)


_NO_HEADING = np.array([1.0, 1.0, 0.0, 0.0])


# --- the ways a pen may take a stroke -----------------------------------------------------------------


def _course(
    path: Polyline,
    pieces: Sequence[tuple[float, float]],
    order: Sequence[int],
    signs: Sequence[int],
    shift: float,
) -> Course:
    """`path` with its pieces in this order and these directions; between them the pen goes straight."""
    total = max(length(path), 1e-9)
    lines: list[Polyline] = []
    marks: list[Floats] = []
    for place, (k, sign) in enumerate(zip(order, signs, strict=True)):
        first, last = pieces[k]
        shares = np.linspace(first, last, _DENSE)
        if place == 0 and shift:
            shares = np.roll(shares[:-1], -int(shift * (_DENSE - 1)))
        shares = shares[::sign]
        if lines:  # the way from one piece to the next is at the start of the next
            lines.append(lines[-1][-1:])
            marks.append(shares[:1])
        lines.append(points_at(path, arc_lengths(path), shares * total))
        marks.append(shares)
    samples, places = _even(np.vstack(lines), np.concatenate(marks))
    return Course(samples, places, tuple(pieces[k] for k in order), tuple(signs), tuple(order), shift)


def _even(line: Polyline, places: Floats) -> tuple[Polyline, Floats]:
    """SAMPLES points at equal distances along `line`, and the places that go with them."""
    along = arc_lengths(line)
    stops = np.linspace(0.0, along[-1], SAMPLES)
    return points_at(line, along, stops), np.interp(stops, along, places)


_DENSE = 65  # points a piece before it is resampled; LOOP_STARTS divides the steps between them


def _shares(spans: Floats, count: int) -> list[int]:
    """`count` shared out by length, at least two each."""
    least = min(2, count // max(1, len(spans)))
    total = max(float(spans.sum()), 1e-9)
    counts = np.maximum(least, np.floor(spans / total * count)).astype(int)
    while counts.sum() != count:
        step = 1 if counts.sum() < count else -1
        counts[int(np.argmax(step * (spans / total - counts / count)))] += step
    return [int(one) for one in counts]


@lru_cache(maxsize=4096)
def courses(stroke: Stroke) -> tuple[Course, ...]:
    """The ways to take one stroke, the taught one first."""
    path = stroke.path
    total = length(path)
    if stroke.is_dot:
        return (_course(path, [(0.0, 1.0)], [0], [1], 0.0),)
    stops = [0.0, *(float(corner) / total for corner in corners(path)), 1.0]
    pieces = list(pairwise(stops))
    count = len(pieces)
    straight = tuple(range(count))
    ways: dict[tuple[tuple[int, ...], tuple[int, ...], float], None] = {}
    for signs in product((1, -1), repeat=count):
        if count <= 3 or sum(sign < 0 for sign in signs) in (0, 1, count):
            ways[straight, signs, 0.0] = None
    ways[straight[::-1], (-1,) * count, 0.0] = None
    if count == 2:
        for signs in product((1, -1), repeat=2):
            ways[(1, 0), signs, 0.0] = None
    first = cut(path, 0.0, pieces[0][1] * total)
    if float(np.hypot(*(first[0] - first[-1]))) < LOOP_GAP:
        for step, sign in product(range(1, LOOP_STARTS), (1, -1)):
            ways[straight, (sign, *(1,) * (count - 1)), step / LOOP_STARTS] = None
    return tuple(_course(path, pieces, order, signs, shift) for order, signs, shift in ways)


@lru_cache(maxsize=4096)
def joined_courses(strokes: tuple[Stroke, ...]) -> tuple[Course, ...]:
    """The ways to take several strokes in one trace: in their order, each forwards or backwards.

    Every stroke has the same number of samples, so that a short one without ink is not overlooked.
    """
    counts = _shares(np.ones(len(strokes)), SAMPLES)
    ways = []
    for signs in product((1, -1), repeat=len(strokes)):
        samples, places = [], []
        for k, (stroke, sign, count) in enumerate(zip(strokes, signs, counts, strict=True)):
            samples.append(resample(stroke.path, count)[::sign])
            places.append(k + np.linspace(0.0, 1.0, count)[::sign])
        pieces = tuple((float(k), float(k + 1)) for k in range(len(strokes)))
        ways.append(
            Course(np.vstack(samples), np.concatenate(places), pieces, signs, tuple(range(len(strokes))))
        )
    return tuple(ways)


# --- fitting ------------------------------------------------------------------------------------------


def box_fit(ink: tuple[float, float, float, float], model: tuple[float, float, float, float]) -> Transform:
    """The map of one box onto another, center on center, the axes scaled apart by at most STRETCH."""
    width, height = ink[2] - ink[0], ink[3] - ink[1]
    model_width, model_height = model[2] - model[0], model[3] - model[1]
    size = float(np.hypot(width, height))
    middle = float(np.hypot(model_width, model_height)) / size if size > 0 else 1.0
    scales = []
    for span, model_span in ((width, model_width), (height, model_height)):
        thin = model_span < THIN * max(model_width, model_height)  # a stem's width says nothing
        scale = middle if thin or span == 0 else model_span / span
        scales.append(float(np.clip(scale, middle / STRETCH**0.5, middle * STRETCH**0.5)))
    return _centered(scales, ink, model)


def _centered(
    scales: Sequence[float], ink: tuple[float, float, float, float], model: tuple[float, float, float, float]
) -> Transform:
    scale_x, scale_y = scales
    return Transform(
        scale_x,
        scale_y,
        (model[0] + model[2]) / 2 - scale_x * (ink[0] + ink[2]) / 2,
        (model[1] + model[3]) / 2 - scale_y * (ink[1] + ink[3]) / 2,
    )


def _least_squares(drawn: Polyline, model: Polyline) -> Transform | None:
    """The map of points on points with the least squared error, the axes scaled apart by at most STRETCH."""
    ink_middle, model_middle = drawn.mean(axis=0), model.mean(axis=0)
    ink_off, model_off = drawn - ink_middle, model - model_middle
    spread = (ink_off**2).sum(axis=0)
    if spread.sum() <= 0:
        return None
    agree = (ink_off * model_off).sum(axis=0)
    both = float(agree.sum() / spread.sum())
    if both <= 0:
        return None
    firm = LEVEL * spread.sum()  # an axis with little spread, a stem's, follows the other one
    each = (agree + firm * both) / (spread + firm)
    scale = np.clip(each, both / STRETCH**0.5, both * STRETCH**0.5)
    shift = model_middle - scale * ink_middle
    return Transform(float(scale[0]), float(scale[1]), float(shift[0]), float(shift[1]))


def _boxes(lines: Sequence[Polyline], least: int) -> list[tuple[float, float, float, float]]:
    """The box around all lines, and around each choice of at least `least` of them."""
    fewest = len(lines) if len(lines) > MOST_RUNS else max(1, least)
    choices = [chosen for count in range(len(lines), fewest - 1, -1) for chosen in combinations(lines, count)]
    return list(dict.fromkeys(bounds(np.vstack(chosen)) for chosen in choices))


def fits(traces: Sequence[Polyline], formation: Formation) -> list[Transform]:
    """The fits worth trying: all on all, and where the numbers differ, less those that may be too many.

    Nothing is fitted to dots alone: anything fits a dot.
    """
    strokes = [stroke.path for stroke in formation.strokes]
    drawn, model = len(traces), len(strokes)
    ink_boxes = _boxes(traces, model if drawn > model else drawn)
    lines = [stroke.path for stroke in formation.strokes if not stroke.is_dot] or strokes
    model_boxes = list(dict.fromkeys([bounds(np.vstack(strokes)), *_boxes(lines, min(drawn, len(lines)))]))
    if model <= drawn:
        model_boxes = model_boxes[:1]
    return [box_fit(ink_box, model_box) for ink_box, model_box in product(ink_boxes, model_boxes)]


Story: TypeAlias = tuple[tuple[tuple[int, ...], ...], tuple[tuple[int, ...], ...]]
"""One way to group traces and strokes, so that a group may stand for a group."""


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
    from scipy.optimize import linear_sum_assignment  # 0.3 s to import: not before a letter is judged

    rows, columns = costs.shape
    square = np.full((rows + columns, rows + columns), 1e6)
    square[:rows, :columns] = costs
    square[np.arange(rows), columns + np.arange(rows)] = MISSING_COST if rows > columns else ALONE_COST
    square[rows + np.arange(columns), np.arange(columns)] = MISSING_COST if columns > rows else ALONE_COST
    square[rows:, columns:] = 0.0
    chosen_rows, chosen_columns = linear_sum_assignment(square)
    total = float(square[chosen_rows, chosen_columns].sum())
    pairs = [
        (int(row), int(column))
        for row, column in zip(chosen_rows, chosen_columns, strict=True)
        if row < rows and column < columns
    ]
    return total, pairs


def run_line(lines: Sequence[Polyline], *, by_length: bool) -> Polyline:
    """SAMPLES points along several lines, shared out by length or evenly; hops between them are not drawn."""
    if len(lines) == 1:
        return resample(lines[0], SAMPLES)
    spans = np.array([length(line) for line in lines]) if by_length else np.ones(len(lines))
    counts = _shares(spans, SAMPLES)
    return np.vstack([resample(line, count) for line, count in zip(lines, counts, strict=True)])


@dataclass(frozen=True, eq=False)
class _Job:
    """One formation at one fit: what has to be warped for it, and afterwards what came out."""

    formation: Formation
    fit: Transform
    stories: tuple[Story, ...]
    wanted: tuple[tuple[tuple[int, ...], tuple[int, ...]], ...]
    options: dict[tuple[int, ...], tuple[Course, ...]]


def explain(ink: Ink, formations: Sequence[Formation]) -> list[Explanation]:
    """For each formation the cheapest story of how this ink came from it.

    The ink must have at least one trace. All formations are warped together: what counts is the number of
    numpy calls, not the number of pairs.
    """
    traces = [trace.points for trace in ink.traces]
    lines: dict[tuple[int, ...], Polyline] = {}
    joins = all(len(one.strokes) != len(traces) for one in formations)
    stories = {id(one): tuple(_stories(len(traces), one, joins=joins)) for one in formations}
    jobs = [_job(one, fit, stories[id(one)]) for one in formations for fit in fits(traces, one)]
    told = _tell(jobs, traces, lines)
    best: dict[int, Explanation] = {}
    for one in told:
        key = id(one.formation)
        if key not in best or one.cost < best[key].cost:
            best[key] = one
    firsts = [best[id(one)] for one in formations]
    refits = refine(firsts, traces)
    again = [
        _job(one.formation, fit, stories[id(one.formation)])
        for one, fit in zip(firsts, refits, strict=True)
        if fit is not None
    ]
    for one in _tell(again, traces, lines):
        if one.cost < best[id(one.formation)].cost:
            best[id(one.formation)] = one
    return [best[id(one)] for one in formations]


def refine(explanations: Sequence[Explanation], traces: Sequence[Polyline]) -> list[Transform | None]:
    """For each explanation the least-squares fit along its warping paths; None where there is none."""
    fitted: list[Transform | None] = []
    for explanation, aligned in zip(explanations, align(explanations, traces), strict=True):
        if not aligned:
            fitted.append(None)
            continue
        back = explanation.fit.inverse()
        drawn = np.vstack([back.apply(one.drawn[one.way[:, 0]]) for one in aligned])
        model = np.vstack([one.pairing.course.samples[one.way[:, 1]] for one in aligned])
        fitted.append(_least_squares(drawn, model))
    return fitted


def _options(formation: Formation, run: tuple[int, ...]) -> tuple[Course, ...]:
    if len(run) == 1:
        return courses(formation.strokes[run[0]])
    return joined_courses(tuple(formation.strokes[k] for k in run))


def _job(formation: Formation, fit: Transform, stories: tuple[Story, ...]) -> _Job:
    wanted = tuple(
        dict.fromkeys((row, column) for drawn, model in stories for row in drawn for column in model)
    )
    options = {column: _options(formation, column) for column in {column for _, column in wanted}}
    return _Job(formation, fit, stories, wanted, options)


def _tell(
    jobs: Sequence[_Job], traces: Sequence[Polyline], lines: dict[tuple[int, ...], Polyline]
) -> list[Explanation]:
    """The cheapest story of each job. `lines` remembers the runs of traces that were resampled already."""
    drawn, model, counts = [], [], []
    for job in jobs:
        ways = {column: np.stack([course.headed for course in job.options[column]]) for column in job.options}
        for row, column in job.wanted:
            if row not in lines:
                lines[row] = run_line([traces[k] for k in row], by_length=False)
            drawn.append(job.fit.apply(lines[row]))
            model.append(ways[column])
            counts.append(len(ways[column]))
    if not drawn:
        return []
    first = np.repeat(headed(np.stack(drawn)), counts, axis=0)
    costs = np.split(distances(first, np.concatenate(model)) / SAMPLES, np.cumsum(counts)[:-1])
    told, taken = [], iter(costs)
    for job in jobs:
        table = {}
        for row, column in job.wanted:
            mine = next(taken)
            best = int(np.argmin(mine))
            course = job.options[column][best]
            table[row, column] = Pairing(row, column, course, float(mine[best]), float(mine[0]))
        _price_idle(table)
        told.append(_cheapest(job, table, len(traces)))
    return told


def _price_idle(table: dict[tuple[tuple[int, ...], tuple[int, ...]], Pairing]) -> None:
    """Add IDLE_COST to runs that do not fit better than one of their members alone.

    A stray mark behind a whole letter is no lift, and a stem without its bar is no join.
    """
    for (row, column), pairing in list(table.items()):
        alone = [(one,) for one in row] if len(row) > 1 else [(one,) for one in column]
        members = [(one, column) if len(row) > 1 else (row, one) for one in alone]
        if len(row) + len(column) > 2 and min(table[key].cost for key in members) <= pairing.cost:
            table[row, column] = replace(pairing, cost=pairing.cost + IDLE_COST)


def _cheapest(
    job: _Job, table: dict[tuple[tuple[int, ...], tuple[int, ...]], Pairing], count: int
) -> Explanation:
    """The story with the least cost, given the cost of every pairing."""
    strokes = len(job.formation.strokes)
    found: list[tuple[float, list[Pairing]]] = []
    for drawn, model in job.stories:
        costs = np.array([[table[row, column].cost for column in model] for row in drawn])
        total, pairs = _assign(costs)
        each = [float(costs[pair]) for pair in pairs]
        total += max(each, default=0.0) - sum(each)  # not the sum: formations differ in their strokes
        total += LIFT_COST * (count - len(drawn)) + JOIN_COST * (strokes - len(model))
        found.append((total, [table[drawn[row], model[column]] for row, column in pairs]))
    cost, chosen = min(found, key=lambda one: one[0])
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


def align(explanations: Sequence[Explanation], traces: Sequence[Polyline]) -> list[list[Aligned]]:
    """For each explanation the warping path of each of its pairings, by its best course."""
    jobs = [(one, pairing) for one in explanations for pairing in one.pairings]
    if not jobs:
        return [[] for _ in explanations]
    drawn = [
        one.fit.apply(run_line([traces[k] for k in pairing.traces], by_length=False)) for one, pairing in jobs
    ]
    models = [pairing.course.headed for _, pairing in jobs]
    _, ways = paths(headed(np.stack(drawn)), np.stack(models))
    aligned = iter(
        Aligned(pairing, line, way) for (_, pairing), line, way in zip(jobs, drawn, ways, strict=True)
    )
    return [[next(aligned) for _ in one.pairings] for one in explanations]
