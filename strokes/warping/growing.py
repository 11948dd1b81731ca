"""Warping for a line that still grows: one row of the table a sample, for several models at once.

Cost, steps and features are those of `pairs`. Only the last row is kept, so that a sample costs the same
however long the line is, and at any time the line can be held against as much of a model as it is long.
"""

from __future__ import annotations

import numpy as np

from strokes.polyline import Floats


def factors(models: Floats) -> Floats:
    """Models (models, samples, features) as rows that give squared distances in one product.

    A row times (sample, 1, square of the sample) is the squared distance between the two.
    """
    rows = models.reshape(-1, models.shape[2])
    return np.column_stack([-2.0 * rows, (rows**2).sum(axis=1), np.ones(len(rows))])


class GrowingTable:
    """The last row of the tables of a growing line on each of `models` models, given by their `factors`.

    `width` is how many samples each model has, `samples` how many the line has by now.
    """

    def __init__(self, factors: Floats, models: int) -> None:
        self._factors, self.width = factors, len(factors) // models
        count = self.width
        rows = np.full((models, count + 1), np.inf)  # with a border before the first sample
        rows[:, 0] = 0.0
        self._diagonal, self._row = rows[:, :-1], rows[:, 1:]
        self._into, self._sums = np.empty((models, count)), np.zeros((models, count + 1))
        self.samples = 0

    def add(self, *sample: float) -> None:
        """One sample more: a running sum of costs, lowered to the best path in from the row before."""
        here = np.array((*sample, 1.0, sum(feature * feature for feature in sample)))
        costs = (self._factors @ here).reshape(len(self._row), -1)
        np.minimum(self._diagonal, self._row, out=self._into)
        np.add.accumulate(costs, axis=1, out=self._sums[:, 1:])
        self._into -= self._sums[:, :-1]
        np.minimum.accumulate(self._into, axis=1, out=self._row)
        self._row += self._sums[:, 1:]
        self._diagonal[:, 0] = np.inf
        self.samples += 1

    def costs(self) -> list[float]:
        """The mean cost a sample on as much of each model as the line is long. Needs a sample at least."""
        last = min(self.samples, self.width) - 1
        means: list[float] = (self._row[:, last] / self.samples).tolist()
        return means
