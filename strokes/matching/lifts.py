"""What a lift inside a stroke costs: little where the pen went on as it was going."""

from __future__ import annotations

import numpy as np

from strokes.matching.fitting import Fit
from strokes.matching.runs import Runs
from strokes.polyline import Floats
from strokes.weights import WEIGHTS


def lift_costs(runs: Runs, fit: Fit) -> list[float]:
    """What the lift between each trace and the next costs if they stand for one stroke: (traces - 1)."""
    ends = _ends(runs, fit)
    hops = ends[1:, 0, 0] - ends[:-1, 1, 0]
    size = np.hypot(hops[:, 0], hops[:, 1])[:, None]
    ahead = [size * _unit(ends[:-1, 1, 0] - ends[:-1, 1, 1]), size * _unit(ends[1:, 0, 1] - ends[1:, 0, 0])]
    beside = sum(((hops - straight_on) ** 2).sum(axis=1) for straight_on in ahead) / 2
    bends = np.minimum(WEIGHTS.bend_cost * beside, WEIGHTS.most_bend_cost)
    costs: list[float] = (WEIGHTS.lift_cost + WEIGHTS.hop_cost * size[:, 0] ** 2 + bends).tolist()
    return costs


def _ends(runs: Runs, fit: Fit) -> Floats:
    """Start and end of each trace, each with a place further inside behind it: (traces, 2, 2, 2) by a fit."""
    inked = [runs.line((k,)) for k in range(len(runs))]
    inside = WEIGHTS.going_samples
    return fit.apply(np.array([((line[0], line[inside]), (line[-1], line[-1 - inside])) for line in inked]))


def _unit(steps: Floats) -> Floats:
    size = np.hypot(steps[:, 0], steps[:, 1])[:, None]
    unit: Floats = np.divide(steps, size, out=np.zeros_like(steps), where=size > 1e-9)
    return unit
