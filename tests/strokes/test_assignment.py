"""Traces are assigned to strokes at the least total, whether or not the solver is asked."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import example, given, settings
from hypothesis import strategies as st
from hypothesis.extra.numpy import arrays
from scipy.optimize import linear_sum_assignment

from strokes.matching.hypotheses import _assign, _left_over
from strokes.polyline import Floats
from strokes.weights import WEIGHTS

COSTS = st.tuples(st.integers(1, 4), st.integers(1, 4)).flatmap(
    lambda shape: arrays(np.float64, shape, elements=st.sampled_from([0.0, 0.01, 0.1, 0.4, 0.7, 1.2, 1e6]))
)


@settings(max_examples=60)
@given(COSTS)
@example(np.array([[0.1, 0.01], [0.4, 0.1]]))
@example(np.array([[0.7], [0.1], [0.4]]))
def test_the_total_is_the_least_that_the_solver_finds(costs: Floats) -> None:
    rows, columns = costs.shape
    square = _left_over(rows, columns).copy()
    square[:rows, :columns] = costs
    least = square[linear_sum_assignment(square)].sum()

    pairs = _assign(costs.tolist())

    assert len(dict(pairs)) == len({column for _, column in pairs}) == len(pairs)
    row_cost = WEIGHTS.missing_cost if rows > columns else WEIGHTS.alone_cost
    column_cost = WEIGHTS.missing_cost if columns > rows else WEIGHTS.alone_cost
    left_over = row_cost * (rows - len(pairs)) + column_cost * (columns - len(pairs))
    assert sum(costs[pair] for pair in pairs) + left_over == pytest.approx(least)
