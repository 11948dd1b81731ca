"""A growing line is warped as whole pairs are: after each sample the costs are those of the pairs so far."""

from __future__ import annotations

import numpy as np
import pytest

from strokes.warping import GrowingTable, distances, factors


@pytest.mark.parametrize("samples", [1, 5, 12, 20])
def test_the_costs_of_a_growing_line_are_those_of_as_much_of_each_model_as_it_is_long(samples: int) -> None:
    random = np.random.default_rng(samples)
    models, line = random.normal(size=(3, 12, 4)), random.normal(size=(samples, 4))
    table = GrowingTable(factors(models), models=3)
    table.add(line[:3])
    for sample in line[3:]:
        table.add(sample[None])

    part = models[:, : min(samples, table.width)]
    whole = distances(np.repeat(line[None], 3, axis=0), part)

    assert (table.samples, table.width) == (samples, 12)
    assert table.costs() == pytest.approx((whole / samples).tolist())
