"""What a trace may stand for while its letter is not finished: strokes of a formation, compared in place.

Between guide lines the size and the height of a letter are known, so that one trace can be read before the
others are there; only how far to the side the letter stands may be open. `matching` explains a whole letter
and needs no lines.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import lru_cache

import numpy as np

from strokes.checks.live import LiveTrace, follow
from strokes.kinds import Kind
from strokes.letter import Formation, GuideLines, Stroke
from strokes.matching import SAMPLES, headed, headed_samples, surely_turned, traversals
from strokes.polyline import Polyline, bounds, cut, length, resample
from strokes.report import Finding
from strokes.tolerances import Tolerances
from strokes.warping import Lines, distances
from strokes.weights import WEIGHTS


@dataclass(frozen=True, eq=False)
class Target:
    """What a trace may be: the strokes `first` to `last` of a formation in one line, or a piece of one.

    `line` is drawn as the taught pen goes, and `whole` is what it is a piece of, or itself; `cost` is what
    this reading costs before anything is compared.
    """

    formation: Formation
    first: int
    last: int
    line: Stroke
    whole: Stroke
    cost: float = 0.0

    @property
    def strokes(self) -> range:
        """The strokes that it holds."""
        return range(self.first, self.last + 1)


@dataclass(frozen=True, eq=False)
class Reading:
    """A trace read as a target that stands `aside` x-heights to the right of where it was shown.

    `turned` tells that the pen surely ran the first piece of it backwards.
    """

    target: Target
    aside: float
    cost: float
    turned: bool

    @property
    def placed(self) -> tuple[Stroke, Stroke, float, bool]:
        """What its finding depends on: the same for formations that share the line."""
        return self.target.line, self.target.whole, self.aside, self.turned

    def finding(self, trace: Polyline, guide: GuideLines, tolerances: Tolerances) -> Finding | None:
        """Whether the trace began elsewhere than the strokes do or ran backwards; None where it did neither.

        Half a stroke is held against the half for its direction, and against the whole stroke for its start.
        """
        target, moved = self.target, trace - (self.aside * guide.unit, 0.0)
        for line in dict.fromkeys((target.line, target.whole)):
            written = Formation(target.formation.name, (line,))
            live = LiveTrace(written, 0, guide=guide, placed=True, tolerances=tolerances)
            finding = follow(live, moved)
            if finding and (finding.kind is Kind.DIRECTION or line is target.whole):
                return finding
        if self.turned:
            x, y = trace[0].tolist()
            return Finding(
                Kind.DIRECTION, 1, tolerances.backwards, part=traversals(target.line)[0].pieces[0], at=(x, y)
            )
        return None


@lru_cache(maxsize=4096)
def _line(path: bytes) -> Stroke:
    """One object for equal lines, so that what several formations share is compared once."""
    return Stroke(np.frombuffer(path).reshape(-1, 2))


@lru_cache(maxsize=1024)
def targets(formation: Formation) -> tuple[Target, ...]:
    """All runs of strokes of a formation, and the halves of each line that is no dot."""
    strokes = [_line(stroke.path.tobytes()) for stroke in formation.strokes]
    every = []
    for first in range(len(strokes)):
        for last in range(first, len(strokes)):
            line = strokes[first]
            if last > first:
                line = _line(np.vstack([stroke.path for stroke in strokes[first : last + 1]]).tobytes())
            every.append(Target(formation, first, last, line, line, WEIGHTS.run_cost * (last - first)))
    for index, stroke in enumerate(strokes):
        total = length(stroke.path)
        if total >= WEIGHTS.piece * 2:
            for part in ((0.0, total / 2), (total / 2, total)):
                half = _line(cut(stroke.path, *part).tobytes())
                every.append(Target(formation, index, index, half, stroke, WEIGHTS.half_cost))
    return tuple(every)


@lru_cache(maxsize=1024)
def rest_of(formation: Formation, stroke: int, begin: float) -> Target | None:
    """What is left of a stroke from the share `begin` of its length on; None where that is too little."""
    path = formation.strokes[stroke].path
    total = length(path)
    if total * min(begin, 1 - begin) < WEIGHTS.piece:
        return None
    line = Stroke(cut(path, begin * total, total))
    return Target(formation, stroke, stroke, line, line)


def reached(formation: Formation, stroke: int, place: Polyline) -> float:
    """The share of a stroke's length at which it comes nearest to a place in letter space."""
    dense = resample(formation.strokes[stroke].path, 101)
    return float(np.hypot(*(dense - place).T).argmin()) / 100


def read(
    trace: Polyline, asked: Sequence[Target], *, guide: GuideLines, shown: float | None, free: bool
) -> list[Reading]:
    """The trace read as each of `asked`, in their order.

    `shown` is how far to the right the letter is known to stand, None where that is not known; where `free`,
    it may stand elsewhere as well, and each target is laid on the trace by its left edge, its right edge and
    its middle.
    """
    drawn = guide.to_letter_space().apply(resample(trace, SAMPLES))
    box = bounds(drawn)
    diagonal = float(np.hypot(box[2] - box[0], box[3] - box[1]))
    lines, models = list[Polyline](), list[Lines]()
    rows = dict[tuple[Stroke, float], int]()
    placed = []
    for place, target in enumerate(asked):
        for aside in _asides(box, target, shown, free):
            if (target.line, aside) not in rows:
                rows[target.line, aside] = len(lines)
                lines.append(drawn - (aside, 0.0))
                models.append(headed_samples(traversals(target.line)))
            placed.append((place, aside, rows[target.line, aside]))
    counts = [len(model) for model in models]
    which = (np.repeat(np.arange(len(lines)), counts), np.arange(sum(counts)))
    costs = distances(headed(np.array(lines)), np.concatenate(models), which=which) / SAMPLES
    begins = np.cumsum([0, *counts])
    best = dict[int, Reading]()
    for place, aside, row in placed:
        target, by_traversal = asked[place], costs[begins[row] : begins[row + 1]]
        traversal, least = traversals(target.line)[int(by_traversal.argmin())], float(by_traversal.min())
        turned = traversal.signs[0] < 0 and surely_turned(float(by_traversal[0]), least)
        cost = target.cost + (0.0 if shown is None or aside == shown else WEIGHTS.moved_cost)
        if target.line.is_dot:
            cost += _unlike_dot(box, diagonal, target, aside)
        else:
            cost += WEIGHTS.no_dot_cost if diagonal < WEIGHTS.tap else least
        if place not in best or cost < best[place].cost:
            best[place] = Reading(target, aside, cost, turned)
    return [best[place] for place in range(len(asked))]


def _unlike_dot(
    box: tuple[float, float, float, float], diagonal: float, target: Target, aside: float
) -> float:
    """What a mark costs as a dot: nothing above its letter, more the lower and the farther aside it is."""
    if diagonal >= WEIGHTS.mark:
        return WEIGHTS.no_dot_cost
    x, y = target.line.start
    across = (box[0] + box[2]) / 2 - aside - x
    down = max(0.0, (box[1] + box[3]) / 2 - y)
    return WEIGHTS.dot_off_cost * (across**2 + down**2)


def _asides(
    box: tuple[float, float, float, float], target: Target, shown: float | None, free: bool
) -> list[float]:
    """How far to the side the letter may stand if the trace is this target."""
    known = [] if shown is None else [shown]
    if known and not free:
        return known
    left, _, right, _ = bounds(target.line.path)
    return [*known, box[0] - left, box[2] - right, (box[0] + box[2] - left - right) / 2]
