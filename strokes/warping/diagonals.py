"""Warping in plain numpy: the table filled one anti-diagonal at a time, every pair of a batch at once.

On an anti-diagonal no cell needs another, so numpy does the whole of it in one call. The pairs are the last
axis, so that a call runs over contiguous memory. What a call costs besides the numbers is most of the time
of a small batch, so a Grid of views is laid out once for a shape and used again, and the local costs are
worked out for four anti-diagonals in a call. A grid for many pairs stays in the processor's cache; longer
batches go over it in chunks.
"""

from __future__ import annotations

import threading
from dataclasses import dataclass

import numpy as np

from strokes.polyline import Floats

_TOGETHER = 4
"""Anti-diagonals whose local costs are worked out in one call: with more they leave the cache."""

_ROOM = 225_000
"""Numbers on a grid above which it leaves a cache of 2 MB. Half of it, or twice, costs a tenth."""

_SIZES = (1, 8, 16, 24, 32, 48, 64, 96, 128, 192, 256, 384, 512)
"""Pairs that a grid is laid out for; a batch of another size leaves some places empty."""

_GRIDS = 24
"""Desks kept for each thread."""


@dataclass(frozen=True)
class Shape:
    """What a grid is laid out for: samples and features of the lines, the band, whether to keep the table.

    Cell (i, j) is inside the band when j is at most `below` short of i and at most `above` past it.
    """

    n: int
    m: int
    features: int
    below: int
    above: int
    keep: bool = False

    def span(self, diagonal: int) -> tuple[int, int]:
        """First and last but one i of the cells (i, diagonal - i) inside table and band; none if equal."""
        low = max(0, diagonal - self.m + 1, (diagonal - self.above + 1) // 2)
        high = min(self.n, diagonal + 1, (diagonal + self.below) // 2 + 1)
        return low, max(low, high)

    def most(self) -> int:
        """How many pairs a grid of this shape holds at most."""
        width = min(self.n, (self.below + self.above) // 2 + 1)
        rows = self.n + self.m if self.keep else 3
        numbers = ((2 + _TOGETHER) * self.features + rows) * width
        return max([size for size in _SIZES[1:] if size * numbers <= _ROOM], default=_SIZES[1])


class Grid:
    """Room for `pairs` pairs of one shape, with every view that filling the table needs laid out.

    `first` is (features, n, pairs); `second` is (features, m, pairs) with its samples in reverse: j falls
    where i rises. Row i + j + 2 of the table has cell (i, j) at column i + 1; if it is not kept, only three
    rows live at a time.
    """

    def __init__(self, shape: Shape, pairs: int) -> None:
        self.shape, self.pairs = shape, pairs
        n, m, features, room = shape.n, shape.m, shape.features, _TOGETHER
        self._first = _aligned(features, n * pairs)
        self._second = _aligned(features, (m + 2 * room) * pairs)  # a block may look past both ends
        self.first = self._first.reshape(features, n, pairs)
        self.second = self._second.reshape(features, m + 2 * room, pairs)[:, room : room + m]
        self._rows = n + m - 1
        self.table = _aligned(self._rows + 2 if shape.keep else 3, (n + 1) * pairs)
        self.table[:] = np.inf
        self._corner = _aligned(pairs)  # what the way costs before both first samples
        self._local = _aligned(features * room * n * pairs)
        self._blocks = [self._block(k, min(k + room, self._rows)) for k in range(0, self._rows, room)]

    @property
    def costs(self) -> Floats:
        """The cost of every pair, after `fill`."""
        return self._row(self._rows + 1)[self.shape.n * self.pairs :]

    def _row(self, row: int) -> Floats:
        values: Floats = self.table[row if self.shape.keep else row % 3]
        return values

    def _block(self, begin: int, end: int) -> _Block:
        """The views for the anti-diagonals from `begin` up to `end`."""
        shape, pairs = self.shape, self.pairs
        spans = [shape.span(diagonal) for diagonal in range(begin, end)]
        low, high = min(span[0] for span in spans), max(span[1] for span in spans)
        height, width = end - begin, (high - low) * pairs
        flat = self._local[: shape.features * height * width]
        at = (low + shape.m - 1 - begin + _TOGETHER) * pairs
        step = self._second.itemsize
        second = np.lib.stride_tricks.as_strided(  # one anti-diagonal further is one sample earlier
            self._second[:, at:],
            (shape.features, height, width),
            (self._second.strides[0], -pairs * step, step),
            writeable=False,
        )
        sums, count, size = [], shape.features, height * width
        while count > 1:
            half = count // 2
            sums.append((flat[: half * size], flat[(count - half) * size : count * size]))
            count -= half
        local = flat[:size].reshape(height, width)
        steps = []
        for diagonal, span in enumerate(spans, start=begin):
            if span[0] < span[1]:
                costs = local[diagonal - begin, (span[0] - low) * pairs : (span[1] - low) * pairs]
                steps.append(self._step(diagonal, span, costs))
        first = self._first[:, None, low * pairs : high * pairs]
        return _Block(first, second, flat.reshape(shape.features, height, width), flat, sums, steps)

    def _step(self, diagonal: int, span: tuple[int, int], costs: Floats) -> _Step:
        """The views for one anti-diagonal."""
        pairs, (low, high) = self.pairs, span
        row, before, before2 = (self._row(diagonal + 2 - k) for k in range(3))
        target = row[(low + 1) * pairs : (high + 1) * pairs]
        if diagonal == 0:
            return _Step(target, costs, self._corner, self._corner, self._corner, None)
        over = row[low * pairs : (low + 1) * pairs] if self._stale(diagonal, low) else None
        up, left = before[low * pairs : high * pairs], before[(low + 1) * pairs : (high + 1) * pairs]
        return _Step(target, costs, up, before2[low * pairs : high * pairs], left, over)

    def _stale(self, diagonal: int, low: int) -> bool:
        """Whether a row used again holds an old number where one of the next two rows will look."""
        nexts = [self.shape.span(diagonal + k)[0] for k in (1, 2)]
        return not self.shape.keep and low > 0 and low in nexts

    def fill(self) -> None:
        """Fill the table for the lines that lie in `first` and `second`."""
        if not self.shape.keep:
            self.table[:] = np.inf
        subtract, multiply, add, minimum = np.subtract, np.multiply, np.add, np.minimum
        for block in self._blocks:
            subtract(block.first, block.second, out=block.differences)
            multiply(block.flat, block.flat, out=block.flat)
            for total, other in block.sums:
                add(total, other, out=total)
            for step in block.steps:
                target = step.target
                minimum(step.up, step.diagonal, out=target)
                minimum(target, step.left, out=target)
                add(target, step.costs, out=target)
                if step.stale is not None:
                    step.stale.fill(np.inf)


@dataclass(frozen=True, eq=False, slots=True)
class _Step:
    """Views of one anti-diagonal: where it goes, what it is made of, and what the next must not find."""

    target: Floats
    costs: Floats
    up: Floats
    diagonal: Floats
    left: Floats
    stale: Floats | None


@dataclass(frozen=True, eq=False, slots=True)
class _Block:
    """Views for the local costs of some anti-diagonals, and their steps."""

    first: Floats
    second: Floats
    differences: Floats
    flat: Floats
    sums: list[tuple[Floats, Floats]]
    steps: list[_Step]


def _aligned(*shape: int) -> Floats:
    """Zeros that begin at a cache line: vectors across two of them cost up to half as much again."""
    size = int(np.prod(shape))
    raw = np.zeros(size + 8)
    start = (-raw.ctypes.data) % 64 // 8
    return raw[start : start + size].reshape(shape)


class _ThreadGrids(threading.local):
    """The grids of a thread: two threads never share one."""

    def __init__(self) -> None:
        self.grids: dict[tuple[Shape, int], Grid] = {}


_thread_grids = _ThreadGrids()


def grid(shape: Shape, pairs: int) -> Grid:
    """A grid for as many of `pairs` as it holds; it is this thread's until the next call."""
    size = min([size for size in _SIZES if size >= pairs] + [shape.most()])
    grids = _thread_grids.grids
    if (shape, size) in grids:
        return grids[shape, size]
    laid = Grid(shape, size)
    if laid.table.size <= _ROOM:
        if len(grids) >= _GRIDS:
            del grids[next(iter(grids))]
        grids[shape, size] = laid
    return laid
