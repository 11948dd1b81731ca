"""Lifts between traces: what one costs inside a stroke, and whether the pen went on as it was going."""

from __future__ import annotations

from collections.abc import Sequence
from typing import NamedTuple

import numpy as np

from strokes.matching.fitting import Fit
from strokes.matching.runs import Runs
from strokes.polyline import Floats
from strokes.weights import WEIGHTS


class Lifts(NamedTuple):
    """For the lift between each trace and the next: its cost inside a stroke, whether it was straight on."""

    costs: Sequence[float]
    straight: Sequence[bool]


NO_LIFTS = Lifts((), ())
"""Where no trace can be a piece of a stroke."""


def lifts(runs: Runs, fit: Fit) -> Lifts:
    """The lifts of this ink by a fit: (traces - 1) of each."""
    ends = _ends(runs, fit)
    hops = ends[1:, 0, 0] - ends[:-1, 1, 0]
    size = np.hypot(hops[:, 0], hops[:, 1])[:, None]
    headings = np.array([_unit(ends[:-1, 1, 0] - ends[:-1, 1, 1]), _unit(ends[1:, 0, 1] - ends[1:, 0, 0])])
    beside = ((hops - size * headings) ** 2).sum(axis=2).mean(axis=0)
    bends = np.minimum(WEIGHTS.bend_cost * beside, WEIGHTS.most_bend_cost)
    costs = WEIGHTS.lift_cost + WEIGHTS.hop_cost * size[:, 0] ** 2 + bends
    ahead = (hops * headings).sum(axis=2).min(axis=0)
    straight = (ahead >= WEIGHTS.straight_on * size[:, 0]) & (size[:, 0] <= WEIGHTS.longest_hop)
    return Lifts(costs.tolist(), straight.tolist())


def _ends(runs: Runs, fit: Fit) -> Floats:
    """Start and end of each trace, each with a place further inside behind it: (traces, 2, 2, 2) by a fit."""
    inked = [runs.line((k,)) for k in range(len(runs))]
    inside = WEIGHTS.going_samples
    return fit.apply(np.array([((line[0], line[inside]), (line[-1], line[-1 - inside])) for line in inked]))


def _unit(steps: Floats) -> Floats:
    size = np.hypot(steps[:, 0], steps[:, 1])[:, None]
    unit: Floats = np.divide(steps, size, out=np.zeros_like(steps), where=size > 1e-9)
    return unit
