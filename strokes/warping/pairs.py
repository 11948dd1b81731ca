"""Dynamic time warping of resampled lines: many pairs at once, and pairs with their warping paths.

A line is an (n, d) array: n samples of d features (a position, or a position and a heading). The local
cost is the squared Euclidean distance, the steps are (1, 0), (0, 1) and (1, 1) with weight one, and the
cost of a pair is the least sum along a path from both first samples to both last ones (no root, no
division): Sakoe & Chiba (1978), the step pattern that others call symmetric1.

With a `band`, sample i may go with sample j only if |i - j| <= band. Lines of unequal length get as much
more room as the one is longer, on that side, so that both ends can always be reached.

`diagonals` fills the tables, in plain numpy. Where numba is installed (the extra `fast`), `lanes` does it
seven times as fast; `use_lanes` says when.
"""

from __future__ import annotations

from collections.abc import Iterator
from types import ModuleType
from typing import TypeAlias

import numpy as np
from numpy.typing import NDArray

from strokes.errors import InkError
from strokes.polyline import Floats
from strokes.warping.diagonals import Grid, Shape, grid

Which: TypeAlias = tuple[NDArray[np.intp], NDArray[np.intp]]
"""Pairs by the indices of their lines."""

Lines: TypeAlias = NDArray[np.float64]
"""A batch: (lines, samples, features)."""

WarpingPath: TypeAlias = NDArray[np.intp]
"""(k, 2): which sample of the first line goes with which of the second, in order."""

FEW = 8
"""Pairs below which lanes would mostly run empty."""

MOST_FEATURES = 4
"""Features that lanes are made for."""

WORTH_IMPORT = 200_000_000
"""Cells, samples by samples by pairs, from which importing numba (0.3 s) pays for itself in one call."""


class _Switch:
    """Whether lanes are used: as asked for, or where it pays if nothing was asked for."""

    wanted: bool | None = None
    lanes: ModuleType | None = None
    missing = False

    def find(self, shape: Shape, pairs: int) -> ModuleType | None:
        """The lanes, if this batch is for them."""
        if self.wanted is False or pairs < FEW or shape.features > MOST_FEATURES:
            return None
        if not self.wanted and shape.n * shape.m * pairs < WORTH_IMPORT:
            return None  # not even if they are there: what is answered must not hang on what was asked before
        self.load()
        return self.lanes

    def load(self) -> None:
        if self.missing or self.lanes is not None:
            return
        try:
            from strokes.warping import lanes
        except ImportError:  # the extra `fast` is not installed, and nothing needs it
            self.missing = True
        else:
            self.lanes = lanes


_switch = _Switch()


def use_lanes(wanted: bool | None) -> bool:
    """Use the compiled lanes for every batch (True), for none (False), or once a batch is worth it (None).

    True imports numba now, for whoever has thousands of letters to judge. Gives whether lanes will be used;
    without numba they will not, and the answers are the same.
    """
    _switch.wanted = wanted
    if wanted:
        _switch.load()
    return wanted is not False and _switch.lanes is not None


def distances(a: Lines, b: Lines, *, band: int | None = None, which: Which | None = None) -> Floats:
    """The cost of each pair `a[p]`, `b[p]`: (pairs,). Both are (lines, samples, features).

    With `which`, two arrays of indices, the pairs are `a[which[0][p]]`, `b[which[1][p]]`.
    """
    shape, count = _shape(a, b, band), _count(a, b, which)
    lanes = _switch.find(shape, count)
    if lanes is None:
        return _by_diagonals(a, b, shape, which, count)
    first, second = (a, b) if which is None else (a[which[0]], b[which[1]])
    costs: Floats = lanes.pairs(first, second, below=shape.below, above=shape.above)
    return costs


def table(a: Lines, b: Lines, *, band: int | None = None) -> Floats:
    """The cost of every line of `a` with every line of `b`: (len(a), len(b))."""
    shape, count = _shape(a, b, band), len(a) * len(b)
    lanes = _switch.find(shape, count)
    if lanes is None:
        rows, columns = np.divmod(np.arange(count), max(1, len(b)))
        return _by_diagonals(a, b, shape, (rows, columns), count).reshape(len(a), len(b))
    costs: Floats = lanes.table(a, b, below=shape.below, above=shape.above)
    return costs


def distance(a: Floats, b: Floats, *, band: int | None = None) -> float:
    """The cost of one pair of (n, d) and (m, d)."""
    return float(distances(a[None], b[None], band=band)[0])


def paths(a: Lines, b: Lines, *, band: int | None = None) -> tuple[Floats, list[WarpingPath]]:
    """The costs (pairs,) and the warping path of each pair; ties go to the diagonal step."""
    shape, count = _shape(a, b, band, keep=True), _count(a, b, None)
    costs, ways = np.empty(count), []
    for laid, part in _laid(a, b, shape, None, count):
        costs[part] = laid.costs[: len(costs[part])]
        cells = laid.table.data.cast("B").cast("d")  # read one by one, much faster than an array
        ways += [_walk_back(cells, shape, laid.pairs, pair) for pair in range(len(costs[part]))]
    return costs, ways


def path(a: Floats, b: Floats, *, band: int | None = None) -> tuple[float, WarpingPath]:
    """The cost and the warping path (k, 2) of one pair of (n, d) and (m, d)."""
    costs, ways = paths(a[None], b[None], band=band)
    return float(costs[0]), ways[0]


def _shape(a: Lines, b: Lines, band: int | None, *, keep: bool = False) -> Shape:
    """The shape of the tables; bad batches and bands are refused here."""
    if a.ndim != 3 or b.ndim != 3 or a.shape[2] != b.shape[2]:
        raise InkError(
            f"batches must be (lines, samples, features) and go together, not {a.shape} and {b.shape}"
        )
    _, n, features = a.shape
    m = b.shape[1]
    if n == 0 or m == 0:
        raise InkError("a line must have at least one sample, not none")
    if band is None:
        band = max(n, m)
    if band < 0:
        raise InkError(f"band must be 0 or more samples to each side, not {band}")
    return Shape(n, m, features, min(n, band + max(0, n - m)), min(m, band + max(0, m - n)), keep)


def _count(a: Lines, b: Lines, which: Which | None) -> int:
    first, second = (len(a), len(b)) if which is None else (len(which[0]), len(which[1]))
    if first != second:
        raise InkError(f"both lines of a pair must be given: there must be as many, not {first} and {second}")
    return first


def _by_diagonals(a: Lines, b: Lines, shape: Shape, which: Which | None, count: int) -> Floats:
    costs = np.empty(count)
    for laid, part in _laid(a, b, shape, which, count):
        costs[part] = laid.costs[: len(costs[part])]
    return costs


def _laid(a: Lines, b: Lines, shape: Shape, which: Which | None, count: int) -> Iterator[tuple[Grid, slice]]:
    """All pairs, as many at a time as a grid holds, worked out: the grid, and which part of the pairs."""
    start = 0
    while start < count:
        laid = grid(shape, count - start)
        part = slice(start, start + laid.pairs)
        first, second = (a[part], b[part]) if which is None else (a[which[0][part]], b[which[1][part]])
        laid.first[:, :, : len(first)] = first.transpose(2, 1, 0)
        laid.second[:, :, : len(second)] = second[:, ::-1].transpose(2, 1, 0)
        laid.first[:, :, len(first) :] = laid.second[:, :, len(second) :] = 0.0  # empty places
        laid.fill()
        yield laid, part
        start += laid.pairs


def _walk_back(cells: memoryview[float], shape: Shape, pairs: int, pair: int) -> WarpingPath:
    """From the last cell of one table to the first: cell i, j is in row i + j + 2, column i + 1."""
    row, column = (shape.n + 1) * pairs, pairs
    first = 2 * row + column + pair
    at = (shape.n + shape.m) * row + shape.n * column + pair
    way = [at]
    while at != first:
        left = at - row
        up = left - column
        at = up - row
        if cells[at] > cells[up] or cells[at] > cells[left]:
            at = up if cells[up] <= cells[left] else left
        way.append(at)
    rows, rest = np.divmod(np.array(way[::-1], dtype=np.intp), row)
    i = rest // column - 1
    return np.stack([i, rows - 2 - i], axis=1)
