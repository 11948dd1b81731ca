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
        self._row = rows[:, 1:]
        self._rows = rows[:, :-1], self._row, np.empty((models, count))
        self._sums = np.zeros((models, count + 1))
        self.samples = 0

    def add(self, samples: Floats) -> None:
        """More samples (n, features), each a running sum of costs, lowered to the best path in before it."""
        here = np.column_stack([samples, np.ones(len(samples)), (samples**2).sum(axis=1)])
        costs = (here @ self._factors.T).reshape(len(samples), len(self._row), -1)
        sums, up_to, diagonal, row, into = (self._sums[:, 1:], self._sums[:, :-1], *self._rows)
        for each in np.add.accumulate(costs, axis=2):
            sums[:] = each
            np.minimum(diagonal, row, out=into)
            into -= up_to
            np.minimum.accumulate(into, axis=1, out=row)
            row += each
            diagonal[:, 0] = np.inf
        self.samples += len(samples)

    def costs(self) -> list[float]:
        """The mean cost a sample on as much of each model as the line is long. Needs a sample at least."""
        last = min(self.samples, self.width) - 1
        means: list[float] = (self._row[:, last] / self.samples).tolist()
        return means
