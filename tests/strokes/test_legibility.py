"""Legibility: what is not worked out exactly is never judged otherwise."""

from __future__ import annotations

import numpy as np
import pytest

from strokes import Ink, Tolerances
from strokes.checks import legibility
from strokes.matching.alignment import align
from strokes.matching.matcher import explain
from strokes.simulation.hand import write
from tests.cases import for_each
from tests.shipped import PRINT, SAMPLE_LETTERS, ways


@for_each("name", SAMPLE_LETTERS)
def test_ink_that_is_surely_covered_is_covered(name: str) -> None:
    """On ink bent ever farther out of shape, and by corridors from none to wide."""
    letter = PRINT[name]
    random, sure = np.random.default_rng(3), 0
    formations = [formation for formation in ways(letter) if formation.hand is None]
    for bend in (0.0, 0.06, 0.15):
        written = write(letter, seed=4)
        ink = Ink.from_arrays(
            [trace.points + random.normal(0, bend, trace.points.shape) for trace in written.traces]
        )
        for explanation in explain(ink, formations):
            (aligned,) = align([explanation])
            for corridor in (0.05, 0.1, 0.22, 0.4):
                tolerances = Tolerances(corridor=corridor)
                if aligned and legibility._surely_covered(explanation, aligned, tolerances):
                    sure += 1
                    assert max(legibility.coverage(explanation, aligned, corridor)) <= tolerances.outside
    assert sure


@for_each("name", "abdgopq09BDOQ")
def test_a_gap_that_need_not_be_known_is_judged_as_the_exact_one(name: str) -> None:
    """On bent ink, and on ink that stops early, whatever counts as closed."""
    letter, random, near = PRINT[name], np.random.default_rng(5), 0
    for bend, left in ((0.0, 1.0), (0.06, 1.0), (0.15, 1.0), (0.0, 0.95), (0.0, 0.9)):
        lines = [trace.points[: round(left * len(trace))] for trace in write(letter, seed=6).traces]
        ink = Ink.from_arrays([line + random.normal(0, bend, line.shape) for line in lines])
        explanations = explain(ink, letter.accepted(None))
        for explanation, aligned in zip(explanations, align(explanations), strict=True):
            exact = list(legibility.gaps(explanation, aligned))
            for enough in (0.05, 0.15, 0.3, 0.6):
                quick = list(legibility.gaps(explanation, aligned, enough=enough))
                for measured, estimate in zip(exact, quick, strict=True):
                    rough = estimate.amount > measured.amount + 1e-9
                    assert (
                        estimate.amount <= enough
                        if rough
                        else estimate.amount == pytest.approx(measured.amount)
                    )
                    near += rough
    assert near, "each gap was worked out exactly"
