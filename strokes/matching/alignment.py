"""Ink laid along the strokes it stands for, point by point: the warping paths, and the fit along them."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property

import numpy as np

from strokes.matching.fitting import Fit, proportioned
from strokes.matching.hypotheses import Explanation, Pairing
from strokes.polyline import Floats, Polyline
from strokes.warping import WarpingPath, paths


@dataclass(frozen=True, eq=False)
class Aligned:
    """A pairing and the warping path of its ink on its traversal."""

    pairing: Pairing
    path: WarpingPath

    @cached_property
    def drawn(self) -> Polyline:
        """Its ink in letter space, (SAMPLES, 2)."""
        return self.pairing.drawn

    @cached_property
    def places(self) -> Floats:
        """Where on the stroke the ink is at each step of the warping path, as `Traversal.places`."""
        return self.pairing.traversal.places[self.path[:, 1]]


def align(explanations: Sequence[Explanation]) -> list[list[Aligned]]:
    """For each explanation the warping path of each of its pairings, by its best traversal."""
    pairings = [pairing for explanation in explanations for pairing in explanation.pairings]
    if not pairings:
        return [[] for _ in explanations]
    drawn = np.array([pairing.headed for pairing in pairings])
    models = np.array([pairing.traversal.headed for pairing in pairings])
    _, warping_paths = paths(drawn, models)
    aligned = map(Aligned, pairings, warping_paths)
    return [[next(aligned) for _ in explanation.pairings] for explanation in explanations]


def refine(explanations: Sequence[Explanation]) -> list[Fit | None]:
    """For each explanation the least-squares fit along its warping paths; None where there is none."""
    fitted: list[Fit | None] = []
    for explanation, aligned in zip(explanations, align(explanations), strict=True):
        if not aligned:
            fitted.append(None)
            continue
        strokes = explanation.formation.strokes
        lines = [laid for laid in aligned if not strokes[laid.pairing.strokes[0]].is_dot]
        drawn, model = [], []
        for laid in lines or aligned:  # a dot may float anywhere above: it says nothing of the fit
            path = _met(laid.path)
            drawn.append(laid.drawn[path[:, 0]])
            model.append(laid.pairing.traversal.samples[path[:, 1]])
        fitted.append(proportioned(explanation.fit.back(np.concatenate(drawn)), np.concatenate(model)))
    return fitted


def _met(path: WarpingPath) -> WarpingPath:
    """The path without what was left out at the ends: the traversal may run on where the ink stands still."""
    first = int(path[:, 0].searchsorted(1)) - 1
    last = int(path[:, 0].searchsorted(path[-1, 0]))
    return path[max(0, first) : last + 1]
