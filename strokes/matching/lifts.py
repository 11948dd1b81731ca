"""Lifts between traces: what one costs inside a stroke, and whether the pen went on as it was going."""

from __future__ import annotations

from collections.abc import Sequence
from typing import NamedTuple

import numpy as np

from strokes.matching.fitting import Fit, apply_each
from strokes.matching.runs import Runs
from strokes.polyline import Floats
from strokes.weights import WEIGHTS


class Lifts(NamedTuple):
    """For the lift between each trace and the next: its cost inside a stroke, whether it was straight on."""

    costs: Sequence[float]
    straight: Sequence[bool]


NO_LIFTS = Lifts((), ())
"""Where no trace can be a piece of a stroke."""


def lifts(runs: Runs, fits: Sequence[Fit]) -> list[Lifts]:
    """The lifts of this ink by each of these fits: (traces - 1) of each."""
    if not fits:
        return []
    ends = _ends(runs, fits)
    hops = ends[:, 1:, 0, 0] - ends[:, :-1, 1, 0]
    size = np.hypot(hops[..., 0], hops[..., 1])[..., None]
    headings = np.array(
        [_unit(ends[:, :-1, 1, 0] - ends[:, :-1, 1, 1]), _unit(ends[:, 1:, 0, 1] - ends[:, 1:, 0, 0])]
    )
    beside = ((hops - size * headings) ** 2).sum(axis=-1).mean(axis=0)
    bends = np.minimum(WEIGHTS.bend_cost * beside, WEIGHTS.most_bend_cost)
    costs = WEIGHTS.lift_cost + WEIGHTS.hop_cost * size[..., 0] ** 2 + bends
    ahead = (hops * headings).sum(axis=-1).min(axis=0)
    straight = (ahead >= WEIGHTS.straight_on * size[..., 0]) & (size[..., 0] <= WEIGHTS.longest_hop)
    return list(map(Lifts, costs.tolist(), straight.tolist()))


def _ends(runs: Runs, fits: Sequence[Fit]) -> Floats:
    """Start and end of each trace by each fit, each with a place further inside: (fits, traces, 2, 2, 2)."""
    inside = WEIGHTS.going_samples
    ends = runs.lines([(k,) for k in range(len(runs))])[:, [0, inside, -1, -1 - inside]]
    every = apply_each(fits, [len(runs)] * len(fits), np.tile(ends, (len(fits), 1, 1)))
    return every.reshape(len(fits), len(runs), 2, 2, 2)


def _unit(steps: Floats) -> Floats:
    size = np.hypot(steps[..., 0], steps[..., 1])[..., None]
    unit: Floats = np.divide(steps, size, out=np.zeros_like(steps), where=size > 1e-9)
    return unit
