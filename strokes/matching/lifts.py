"""What a lift inside a stroke costs: little where the pen went on as it was going."""

from __future__ import annotations

import numpy as np

from strokes.matching.fitting import Fit
from strokes.matching.runs import Runs
from strokes.polyline import Floats

LIFT_COST = 0.03
"""Cost of a lift inside a stroke: the plainer story wins."""

HOP_COST = 0.05
"""Cost of a lift for each square x-height between where the pen went up and where it came down again."""

BEND_COST = 0.4
"""The same for how far it came down beside where it was going: who lifts in a stroke goes on with it."""

MOST_BEND = 0.1
"""At most so much for one: parts may be written in another order."""

GOING = 4
"""Samples of a trace, of SAMPLES, that show which way it was going at an end."""


def lift_costs(runs: Runs, fit: Fit) -> list[float]:
    """What the lift between each trace and the next costs if they stand for one stroke: (traces - 1)."""
    ends = _ends(runs, fit)
    hops = ends[1:, 0, 0] - ends[:-1, 1, 0]
    size = np.hypot(hops[:, 0], hops[:, 1])[:, None]
    ahead = [size * _unit(ends[:-1, 1, 0] - ends[:-1, 1, 1]), size * _unit(ends[1:, 0, 1] - ends[1:, 0, 0])]
    beside = sum(((hops - way) ** 2).sum(axis=1) for way in ahead) / 2
    bends = np.minimum(BEND_COST * beside, MOST_BEND)
    costs: list[float] = (LIFT_COST + HOP_COST * size[:, 0] ** 2 + bends).tolist()
    return costs


def _ends(runs: Runs, fit: Fit) -> Floats:
    """Start and end of each trace, each with a place further inside behind it: (traces, 2, 2, 2) by a fit."""
    inked = [runs.line((k,)) for k in range(len(runs))]
    return fit.apply(np.array([((line[0], line[GOING]), (line[-1], line[-1 - GOING])) for line in inked]))


def _unit(steps: Floats) -> Floats:
    size = np.hypot(steps[:, 0], steps[:, 1])[:, None]
    unit: Floats = np.divide(steps, size, out=np.zeros_like(steps), where=size > 1e-9)
    return unit
