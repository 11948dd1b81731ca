"""Dynamic time warping of resampled lines: many pairs at once, and pairs with their warping paths.

A line is an (n, d) array: n samples of d features (a position, or a position and a heading). The local
cost is the squared Euclidean distance, the steps are (1, 0), (0, 1) and (1, 1) with weight one, and the
cost of a pair is the least sum along a path from both first samples to both last ones (no root, no
division): Sakoe & Chiba (1978), the step pattern that others call symmetric1.

The table is filled one anti-diagonal at a time, and every pair of the batch at once: on an anti-diagonal no
cell needs another, so numpy does the whole of it in one go, and the pairs are the last axis so that it
runs over contiguous memory.
"""

from __future__ import annotations

from typing import TypeAlias

import numpy as np
from numpy.typing import NDArray

from strokes.errors import InkError
from strokes.polyline import Floats

Lines: TypeAlias = NDArray[np.float64]
"""A batch: (pairs, samples, features)."""

WarpingPath: TypeAlias = NDArray[np.intp]
"""(k, 2): which sample of the first line goes with which of the second, in order."""


def _skewed(a: Lines, b: Lines, *, keep: bool) -> tuple[Floats, Floats]:
    """Costs (pairs,), and with `keep` the filled table, skewed: row i + j, column i + 1.

    Without `keep` only the last three anti-diagonals live at a time.
    """
    if a.ndim != 3 or b.ndim != 3 or a.shape[0] != b.shape[0] or a.shape[2] != b.shape[2]:
        raise InkError(
            f"batches must be (pairs, samples, features) and go together, not {a.shape} and {b.shape}"
        )
    pairs, n, features = a.shape
    m = b.shape[1]
    if n == 0 or m == 0:
        raise InkError("a line must have at least one sample, not none")
    first = np.ascontiguousarray(a.transpose(2, 1, 0))
    second = np.ascontiguousarray(b.transpose(2, 1, 0)[:, ::-1])  # reversed: j falls where i rises
    rows = n + m - 1
    table = np.full((rows + 2 if keep else 3, n + 1, pairs), np.inf)
    local = np.empty((n, pairs))
    term = np.empty((n, pairs))
    for diagonal in range(rows):
        low, high = max(0, diagonal - m + 1), min(n, diagonal + 1)
        shift = m - 1 - diagonal
        cells, cost, square = high - low, local[: high - low], term[: high - low]
        np.subtract(first[0, low:high], second[0, low + shift : high + shift], out=cost)
        np.multiply(cost, cost, out=cost)
        for feature in range(1, features):
            np.subtract(first[feature, low:high], second[feature, low + shift : high + shift], out=square)
            np.multiply(square, square, out=square)
            np.add(cost, square, out=cost)
        if keep:
            before2, before, now = table[diagonal], table[diagonal + 1], table[diagonal + 2]
        else:
            before2, before, now = (table[(diagonal + k) % 3] for k in range(3))
            now[low] = np.inf  # left over from three diagonals ago
            now[high + 1 :] = np.inf
        target = now[low + 1 : high + 1]
        if diagonal == 0:
            target[:] = cost
            continue
        np.minimum(before[low : low + cells], before2[low : low + cells], out=target)
        np.minimum(target, before[low + 1 : high + 1], out=target)
        np.add(target, cost, out=target)
    last = table[rows + 1] if keep else table[(rows + 1) % 3]
    return last[n].copy(), table


def distances(a: Lines, b: Lines) -> Floats:
    """The cost of each pair `a[p]`, `b[p]`: (pairs,). Both are (pairs, samples, features)."""
    if len(a) == 0:
        return np.zeros(0)
    return _skewed(a, b, keep=False)[0]


def distance(a: Floats, b: Floats) -> float:
    """The cost of one pair of (n, d) and (m, d)."""
    return float(distances(a[None], b[None])[0])


def paths(a: Lines, b: Lines) -> tuple[Floats, list[WarpingPath]]:
    """The costs (pairs,) and the warping path of each pair; ties go to the diagonal step."""
    if len(a) == 0:
        return np.zeros(0), []
    costs, table = _skewed(a, b, keep=True)
    return costs, [_walk_back(table[:, :, pair], a.shape[1], b.shape[1]) for pair in range(len(a))]


def path(a: Floats, b: Floats) -> tuple[float, WarpingPath]:
    """The cost and the warping path (k, 2) of one pair of (n, d) and (m, d)."""
    costs, ways = paths(a[None], b[None])
    return float(costs[0]), ways[0]


def _walk_back(table: Floats, n: int, m: int) -> WarpingPath:
    """From the last cell of one skewed table (cell i, j at row i + j + 2, column i + 1) to the first."""
    i, j = n - 1, m - 1
    way = [(i, j)]
    cells = table.tolist()  # plain floats are much faster to read one by one
    while i or j:
        row = i + j + 2
        diagonal, up, left = cells[row - 2][i], cells[row - 1][i], cells[row - 1][i + 1]
        if diagonal <= up and diagonal <= left:
            i, j = i - 1, j - 1
        elif up <= left:
            i -= 1
        else:
            j -= 1
        way.append((i, j))
    return np.array(way[::-1], dtype=np.intp)
