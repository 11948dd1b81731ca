"""Warping in compiled lanes: 24 pairs side by side, cell after cell, by numba (the extra `fast`).

Importing this module imports numba, which takes longer than a letter takes to check: `warping` imports it
for big batches only. The answers are those of `warping` to rounding.

All that a block of pairs needs lies in one flat array, sample after sample of the second line: two rows of
the table, then the features, LANES numbers each. With every distance in it known, the compiler sees that
nothing overlaps and works on whole vectors. Two rows of the table are filled in one pass, so that each
sample is read half as often; the first of the two lives where the row before it is no longer needed.
"""

from __future__ import annotations

from collections.abc import Callable
from functools import lru_cache
from typing import Any

import numpy as np
from numba import njit

from strokes.polyline import Floats

LANES = 24
"""Pairs side by side. With 12 or fewer the compiler takes them apart, three times as slow."""

_U = np.uintp  # unsigned, so that no index is tried for being negative


def pairs(first: Floats, second: Floats, *, below: int, above: int) -> Floats:
    """The cost of each pair of two batches of up to four features.

    A sample j may be at most `below` short of its i and at most `above` past it.
    """
    count = len(first)
    costs = np.empty(count)
    first, second = _featured(first), _featured(second)
    _run(first, second, below, above, costs.reshape(count, 1), shared=False)
    return costs


def table(first: Floats, second: Floats, *, below: int, above: int) -> Floats:
    """The cost of each of `first` on each of `second`: (len(first), len(second))."""
    costs = np.empty((len(first), len(second)))
    first, second = _featured(first), _featured(second)
    if len(second) >= len(first):
        _run(first, second, below, above, costs, shared=True)
    else:
        turned = np.empty((len(second), len(first)))
        _run(second, first, above, below, turned, shared=True)
        costs[:] = turned.T
    return costs


def _featured(lines: Floats) -> Floats:
    """Two features or four: what is wanting is zero in both lines."""
    wanting = (2 if lines.shape[2] <= 2 else 4) - lines.shape[2]
    if wanting:
        lines = np.pad(lines, ((0, 0), (0, 0), (0, wanting)))
    return np.require(lines, np.float64, ["C", "W"])


def _run(first: Floats, second: Floats, below: int, above: int, costs: Floats, *, shared: bool) -> None:
    n, m, features = first.shape[1], second.shape[1], first.shape[2]
    if n == 0 or not len(first):
        return
    banded = below < n - 1 or above < m - 1
    kernel = _kernel(features == 4, shared, banded)
    work = _aligned((m + 2) * (2 + features) * LANES)
    own = _aligned((n + 1) * features * (1 if shared else LANES))
    job = (first, second, below, above, work, own, costs)
    try:
        kernel(*job)
    except OSError:  # compiled, but there is no room or no right to keep it: the next call finds it
        kernel(*job)


def _aligned(size: int) -> Floats:
    """Zeros that begin at a cache line: vectors across two of them cost up to half as much again."""
    raw = np.zeros(size + 8)
    start = (-raw.ctypes.data) % 64 // 8
    return raw[start : start + size]


@njit(error_model="numpy", inline="always")
def _two_rows(
    work: Floats,
    own: Floats,
    i: int,
    below: int,
    above: int,
    old: np.uintp,
    new: np.uintp,
    four: bool,
    shared: bool,
    banded: bool,
) -> None:
    """Rows i and i + 1 of the table, from the row before in lane `old` of each sample into lane `new`.

    The flags, and the lanes, are constants where this is called, and what they rule out is not compiled.
    """
    lanes, two, three = _U(LANES), _U(2), _U(3)
    features = 4 if four else 2
    step = _U(2 + features) * lanes
    m = len(work) // ((2 + features) * LANES) - 2
    low, high = max(0, i - below), min(m, i + 1 + above + 1)
    p, q = _U(0), _U(0)
    for k in range(lanes):  # nothing to the left of the first column
        work[_U(low) * step + old + k] = np.inf
        work[_U(low) * step + new + k] = np.inf
        work[_U(low + 1) * step + new + k] = np.inf
    at = _U(i * features) * (_U(1) if shared else lanes)
    next_at = at + _U(features) * (_U(1) if shared else lanes)
    a0, a1, b0, b1 = own[at], own[at + _U(1)], own[next_at], own[next_at + _U(1)]
    a2, a3 = (own[at + two], own[at + three]) if four else (0.0, 0.0)
    b2, b3 = (own[next_at + two], own[next_at + three]) if four else (0.0, 0.0)
    for j in range(_U(low + 2), _U(high + 2)):
        cell = j * step
        out0, out1 = 0.0, 0.0
        if banded:
            out0 = np.inf if j - two > _U(i + above) else 0.0
            out1 = np.inf if j - two + _U(below) < _U(i + 1) else 0.0
        for k in range(cell, cell + lanes):
            x, y = work[k + two * lanes], work[k + three * lanes]
            if shared:
                d0, d1, e0, e1 = a0 - x, a1 - y, b0 - x, b1 - y
            else:
                p, q = at + k - cell, next_at + k - cell
                d0, d1 = own[p] - x, own[p + lanes] - y
                e0, e1 = own[q] - x, own[q + lanes] - y
            upper, lower = d0 * d0 + d1 * d1, e0 * e0 + e1 * e1
            if four:
                u, v = work[k + _U(4) * lanes], work[k + _U(5) * lanes]
                if shared:
                    d2, d3, e2, e3 = a2 - u, a3 - v, b2 - u, b3 - v
                else:
                    d2, d3 = own[p + two * lanes] - u, own[p + three * lanes] - v
                    e2, e3 = own[q + two * lanes] - u, own[q + three * lanes] - v
                upper += d2 * d2 + d3 * d3
                lower += e2 * e2 + e3 * e3
            if banded:
                upper += out0
                lower += out1
            left = work[k - step - step + old]
            upper += min(min(work[k + old], work[k - step + old]), left)
            lower += min(min(upper, left), work[k - step + new])
            work[k - step + old] = upper
            work[k + new] = lower


@lru_cache
def _kernel(four: bool, shared: bool, banded: bool) -> Callable[..., None]:
    """One kernel for each kind of batch; what it does not need is left out when it is compiled."""
    options: dict[str, Any] = {"error_model": "numpy", "nogil": True}
    source = _source(four, shared, banded)
    try:
        return njit(cache=True, **options)(source)  # type: ignore[no-any-return]
    except RuntimeError:  # no folder to keep it in
        return njit(**options)(source)  # type: ignore[no-any-return]


def _source(four: bool, shared: bool, banded: bool) -> Callable[..., None]:
    features = 4 if four else 2
    stride = (2 + features) * LANES

    def kernel(
        first: Floats, second: Floats, below: int, above: int, work: Floats, own: Floats, costs: Floats
    ) -> None:
        lanes, step = _U(LANES), _U(stride)
        count, n = first.shape[0], first.shape[1]
        total, m = second.shape[0], second.shape[1]
        last = _U(m + 1) * step
        for start in range(0, total, LANES):
            width = min(LANES, total - start)
            for lane in range(width):
                for j in range(m):
                    for f in range(features):
                        work[(j + 2) * stride + (2 + f) * LANES + lane] = second[start + lane, j, f]
            if not shared:
                for lane in range(width):
                    for i in range(n):
                        for f in range(features):
                            own[(i * features + f) * LANES + lane] = first[start + lane, i, f]
            for line in range(count if shared else 1):
                if shared:
                    for i in range(n):
                        for f in range(features):
                            own[i * features + f] = first[line, i, f]
                for j in range(m + 2):
                    for k in range(2 * LANES):
                        work[j * stride + k] = np.inf
                for k in range(LANES):
                    work[stride + k] = 0.0  # the corner before both first samples
                old, new = _U(0), lanes
                for i in range(0, n, 2):
                    if i % 4 == 0:
                        _two_rows(work, own, i, below, above, _U(0), lanes, four, shared, banded)
                    else:
                        _two_rows(work, own, i, below, above, lanes, _U(0), four, shared, banded)
                    old, new = new, old
                at = last + old if n % 2 == 0 else last - step + new
                for lane in range(width):
                    costs[start + lane if not shared else line, start + lane if shared else 0] = work[
                        at + _U(lane)
                    ]

    return kernel
