"""How a pen may run through a stroke: forwards, backwards, piece by piece, a loop begun elsewhere."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property, lru_cache
from itertools import pairwise, product

import numpy as np

from strokes.letter import Stroke, closed
from strokes.matching.samples import SAMPLES, headed, shares_of
from strokes.polyline import Floats, Polyline, arc_lengths, corners, cut, length, points_at, resample
from strokes.weights import WEIGHTS


@dataclass(frozen=True, eq=False)
class Traversal:
    """How a pen may run through a stroke, or a run of strokes.

    `samples` (SAMPLES, 2) along it. `places` (SAMPLES,) is where on the stroke each sample lies, as a share
    of its length (run k of a joined run is k + share). `pieces` are the pieces in the order they are
    taken, `signs` +1 or -1 for each: whether it is run as taught. `shift` is the share of the first piece, a
    loop, at which it is begun.
    """

    samples: Polyline
    places: Floats
    pieces: tuple[tuple[float, float], ...]
    signs: tuple[int, ...]
    order: tuple[int, ...]
    shift: float = 0.0

    @cached_property
    def headed(self) -> Floats:
        """The samples with their headings, (SAMPLES, 4)."""
        return headed(self.samples)

    @cached_property
    def ends(self) -> list[list[float]]:
        """The first sample and the last."""
        ends: list[list[float]] = self.samples[:: SAMPLES - 1].tolist()
        return ends

    @cached_property
    def remaining(self) -> list[float]:
        """How long the traversal is from each sample to its end."""
        along = arc_lengths(self.samples)
        remaining: list[float] = (along[-1] - along).tolist()
        return remaining

    @property
    def in_order(self) -> bool:
        """Whether the pieces are taken in the taught order."""
        return self.order == tuple(range(len(self.order)))

    @property
    def reversed_whole(self) -> bool:
        """Whether the whole stroke is run from its end to its start."""
        return max(self.signs) < 0 and self.order == tuple(range(len(self.order)))[::-1]


def _traversal(
    path: Polyline,
    pieces: Sequence[tuple[float, float]],
    order: Sequence[int],
    signs: Sequence[int],
    shift: float,
) -> Traversal:
    """`path` with its pieces in this order and these directions; between them the pen goes straight."""
    total = max(length(path), 1e-9)
    lines: list[Polyline] = []
    marks: list[Floats] = []
    for place, (k, sign) in enumerate(zip(order, signs, strict=True)):
        first, last = pieces[k]
        shares = np.linspace(first, last, _DENSE)
        if place == 0 and shift:
            shares = np.roll(shares[:-1], -int(shift * (_DENSE - 1)))
        shares = shares[::sign]
        if lines:  # the line from one piece to the next is at the start of the next
            lines.append(lines[-1][-1:])
            marks.append(shares[:1])
        lines.append(points_at(path, arc_lengths(path), shares * total))
        marks.append(shares)
    samples, places = _even(np.vstack(lines), np.concatenate(marks))
    return Traversal(samples, places, tuple(pieces[k] for k in order), tuple(signs), tuple(order), shift)


def _even(line: Polyline, places: Floats) -> tuple[Polyline, Floats]:
    """SAMPLES points at equal distances along `line`, and the places that go with them."""
    along = arc_lengths(line)
    stops = np.linspace(0.0, along[-1], SAMPLES)
    return points_at(line, along, stops), np.interp(stops, along, places)


_DENSE = 65  # points a piece before it is resampled; `Weights.loop_starts` divides the steps between them


@lru_cache(maxsize=4096)
def traversals(stroke: Stroke) -> tuple[Traversal, ...]:
    """The traversals of one stroke, the taught one first."""
    path = stroke.path
    total = length(path)
    if stroke.is_dot:
        return (_traversal(path, [(0.0, 1.0)], [0], [1], 0.0),)
    stops = [0.0, *(float(corner) / total for corner in corners(path)), 1.0]
    pieces = list(pairwise(stops))
    count = len(pieces)
    straight = tuple(range(count))
    taken: dict[tuple[tuple[int, ...], tuple[int, ...], float], None] = {}  # order, signs, shift; each once
    for signs in product((1, -1), repeat=count):
        if count <= WEIGHTS.most_pieces or sum(sign < 0 for sign in signs) in (0, 1, count):
            taken[straight, signs, 0.0] = None
    taken[straight[::-1], (-1,) * count, 0.0] = None
    if count == 2:
        for signs in product((1, -1), repeat=2):
            taken[(1, 0), signs, 0.0] = None
    first = cut(path, 0.0, pieces[0][1] * total)
    if closed(first):
        for step, sign in product(range(1, WEIGHTS.loop_starts), (1, -1)):
            taken[straight, (sign, *(1,) * (count - 1)), step / WEIGHTS.loop_starts] = None
    return tuple(_traversal(path, pieces, order, signs, shift) for order, signs, shift in taken)


@lru_cache(maxsize=4096)
def headed_samples(traversed: tuple[Traversal, ...]) -> Floats:
    """The samples of all these traversals with their headings, (traversals, SAMPLES, 4)."""
    return np.stack([traversal.headed for traversal in traversed])


def surely_turned(taught_cost: float, cost: float) -> bool:
    """Whether the taught traversal costs so much more than the best one that the pen surely took that one."""
    return taught_cost > WEIGHTS.turned * cost + WEIGHTS.turned_margin


@lru_cache(maxsize=4096)
def joined_traversals(strokes: tuple[Stroke, ...]) -> tuple[Traversal, ...]:
    """The traversals of several strokes in one trace: in their order, each forwards or backwards.

    Every stroke has the same number of samples, so that a short one without ink is not overlooked.
    """
    counts = shares_of(np.ones(len(strokes)), SAMPLES)
    joined = []
    for signs in product((1, -1), repeat=len(strokes)):
        samples, places = [], []
        for k, (stroke, sign, count) in enumerate(zip(strokes, signs, counts, strict=True)):
            samples.append(resample(stroke.path, count)[::sign])
            places.append(k + np.linspace(0.0, 1.0, count)[::sign])
        pieces = tuple((float(k), float(k + 1)) for k in range(len(strokes)))
        joined.append(
            Traversal(np.vstack(samples), np.concatenate(places), pieces, signs, tuple(range(len(strokes))))
        )
    return tuple(joined)
