"""Ink laid along the strokes it stands for, point by point: the warping paths, and the fit along them."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from strokes.matching.fitting import Fit, proportioned
from strokes.matching.hypotheses import Explanation, Pairing
from strokes.matching.runs import Runs, placed
from strokes.matching.samples import headed
from strokes.polyline import Floats, Polyline
from strokes.warping import WarpingPath, paths


@dataclass(frozen=True, eq=False)
class Aligned:
    """A pairing with its ink in letter space, `drawn` (SAMPLES, 2), and the warping path onto the course."""

    pairing: Pairing
    drawn: Polyline
    way: WarpingPath

    @property
    def places(self) -> Floats:
        """Where on the stroke the ink is at each step of the warping path, as `Course.places`."""
        return self.pairing.course.places[self.way[:, 1]]


def align(explanations: Sequence[Explanation], runs: Runs) -> list[list[Aligned]]:
    """For each explanation the warping path of each of its pairings, by its best course."""
    jobs = [(one, pairing) for one in explanations for pairing in one.pairings]
    if not jobs:
        return [[] for _ in explanations]
    drawn = [
        placed(one.formation, pairing.strokes, one.fit.apply(runs.line(pairing.traces)))
        for one, pairing in jobs
    ]
    models = [pairing.course.headed for _, pairing in jobs]
    _, ways = paths(headed(np.stack(drawn)), np.stack(models))
    aligned = iter(
        Aligned(pairing, line, way) for (_, pairing), line, way in zip(jobs, drawn, ways, strict=True)
    )
    return [[next(aligned) for _ in one.pairings] for one in explanations]


def refine(explanations: Sequence[Explanation], runs: Runs) -> list[Fit | None]:
    """For each explanation the least-squares fit along its warping paths; None where there is none."""
    fitted: list[Fit | None] = []
    for explanation, aligned in zip(explanations, align(explanations, runs), strict=True):
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
