"""What ink looks like beside its size, place, slant and width: samples of it that can be laid on others.

All that is evened out is evened out in ink and models alike. A small mark above all the rest is a dot: where
it lies says which letter it is, and how it was drawn says nothing.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from functools import cached_property
from itertools import permutations, product
from typing import TypeAlias

import numpy as np
from numpy.typing import NDArray

from strokes.matching import SAMPLES, shares_of, weigh_headings
from strokes.polyline import Floats, Polyline, bounds, length, resample
from strokes.warping import Lines
from strokes.weights import WEIGHTS

Arrangement: TypeAlias = list[tuple[int, int]]
"""The lines in the order in which they are run through, each with 1, or -1 for backwards."""


@dataclass(frozen=True, eq=False)
class InkImage:
    """SAMPLES points along the lines of a letter, line by line, its box around 0 with a diagonal of 1.

    `dot` are samples of its dot or mark above, if it has one; these are not among the lines.
    """

    lines: tuple[Polyline, ...]
    dot: Polyline | None = None

    @property
    def samples(self) -> Floats:
        """As it was written, with headings: (SAMPLES, 4)."""
        written: Floats = self.arrangements[0]
        return written

    @cached_property
    def arrangements(self) -> Lines:
        """The lines in every order, each both ways round, as written first: (arrangements, SAMPLES, 4)."""
        lines = [
            np.concatenate([self.lines[k][::sign] for k, sign in arrangement])
            for arrangement in self._arranged
        ]
        headed = weigh_headings(np.stack(lines), WEIGHTS.look_heading)
        if self.dot is None:
            return headed
        places = np.concatenate([self.dot, np.zeros_like(self.dot)], axis=1)  # a dot has no heading
        dot = np.broadcast_to(places, (len(headed), *places.shape))
        return np.concatenate([headed, dot], axis=1)

    @cached_property
    def _arranged(self) -> list[Arrangement]:
        return list(_arrangements(len(self.lines)))

    def at_least(self, models: Lines) -> Floats:
        """What warping each arrangement onto each of `models` costs at least: (arrangements, models).

        Every sample goes with some sample of the model, so it costs no less than with the nearest of all; in
        which order the lines come says nothing then. The ends of lines are left out: their headings depend on
        the lines before and behind.
        """
        inner = [
            np.arange(end - len(line) + 1, end - 1) for line, end in zip(self.lines, self._ends, strict=True)
        ]
        nearest = _nearest(self.samples, models)
        each = np.array([nearest[:, rows].sum(axis=1) for rows in inner])  # (lines, signs, models)
        least = np.array(
            [sum(each[k, int(sign < 0)] for k, sign in arrangement) for arrangement in self._arranged]
        )
        dots: Floats = nearest[0, self._ends[-1] :].sum(axis=0)
        return least + dots

    @property
    def _ends(self) -> NDArray[np.intp]:
        return np.cumsum([len(line) for line in self.lines])


def _nearest(samples: Floats, models: Lines) -> Floats:
    """Squared distance of each sample, and of each run back, to the nearest one: (2, SAMPLES, models)."""
    every = models.reshape(-1, 4)
    apart = (samples**2).sum(axis=1)[:, None] + (every**2).sum(axis=1) - 2 * samples[:, :2] @ every[:, :2].T
    turn = 2 * samples[:, 2:] @ every[:, 2:].T
    both = np.stack([apart - turn, apart + turn]).reshape(2, len(samples), *models.shape[:2])
    nearest: Floats = both.min(axis=-1)
    return nearest


def ink_image(traces: Sequence[Polyline]) -> InkImage:
    """The image of these traces or strokes, in whatever space they lie."""
    lines, dot = _dot_apart(traces)
    count = SAMPLES - (0 if dot is None else WEIGHTS.look_dot_samples)
    spans = np.array([length(line) for line in lines])
    counts = [count] if len(lines) == 1 else shares_of(spans, count)
    parts = [resample(line, share) for line, share in zip(lines, counts, strict=True)]
    evened = _evened(np.concatenate(parts if dot is None else [*parts, dot]))
    cut = np.split(evened, np.cumsum(counts))
    return InkImage(tuple(cut[: len(parts)]), None if dot is None else cut[-1])


def _dot_apart(traces: Sequence[Polyline]) -> tuple[Sequence[Polyline], Polyline | None]:
    """The traces without small ones above all the rest, and samples of these, from left to right.

    A bar on top of a letter is not above it, however the hand trembled.
    """
    if len(traces) == 1:
        return traces, None
    boxes = np.array([bounds(trace) for trace in traces])
    sides = (boxes[:, 2:] - boxes[:, :2]).max(axis=1)
    whole = (boxes[:, 2:].max(axis=0) - boxes[:, :2].min(axis=0)).max()
    rest = sides >= min(WEIGHTS.look_small * whole, sides.max())
    above = (boxes[:, 1] + boxes[:, 3]) / 2 < boxes[rest, 1].min() - WEIGHTS.look_above * whole
    if not above.any():
        return traces, None
    marks = [trace for trace, up in zip(traces, above, strict=True) if up]
    counts = shares_of(np.array([length(mark) for mark in marks]), WEIGHTS.look_dot_samples)
    drawn = np.concatenate([resample(mark, count) for mark, count in zip(marks, counts, strict=True)])
    dot: Polyline = drawn[np.argsort(drawn[:, 0], kind="stable")]
    return [trace for trace, up in zip(traces, above, strict=True) if not up], dot


def _evened(points: Polyline) -> Polyline:
    """Less slanted, its width nearer to its height, around 0, the diagonal of its box 1."""
    x, y = (points - points.mean(axis=0)).T
    upright = float(y @ y)
    steepest, narrowest = WEIGHTS.look_steepest, WEIGHTS.look_narrowest
    slant = float(np.clip(x @ y / upright, -steepest, steepest)) if upright > 0 else 0.0
    points = np.stack([x - WEIGHTS.look_slant * slant * y, y], axis=-1)
    low, high = points.min(axis=0), points.max(axis=0)
    box = high - low
    if box.min() > 0:
        wide = max(box[0], box[1] * 1e-6)  # a width near to nothing would not divide
        ratio = np.clip(box[1] / wide, narrowest, 1 / narrowest) ** (WEIGHTS.look_width / 2)
        scale = np.array([ratio, 1 / ratio])
    else:
        scale = np.ones(2)
    size = float(np.hypot(*(box * scale)))
    evened: Polyline = (points - (low + high) / 2) * (scale / (size if size > 0 else 1.0))
    return evened


def _arrangements(count: int) -> Iterator[Arrangement]:
    """The lines in every order, each forwards and backwards; with many lines only as they are."""
    if count > WEIGHTS.look_most_arranged:
        yield [(k, 1) for k in range(count)]
        return
    for order in permutations(range(count)):
        for signs in product((1, -1), repeat=count):
            yield [*zip(order, signs, strict=True)]


@dataclass(frozen=True, eq=False)
class Models:
    """Many drawings laid out so that one is seen beside all of them at once."""

    samples: Lines

    @cached_property
    def _factors(self) -> NDArray[np.float32]:
        """(SAMPLES, 6, models), which times those of a drawing are all squared distances.

        Half as many bytes make it twice as fast; the seventh digit of a distance says nothing.
        """
        points = _undirected(self.samples).transpose(1, 2, 0)
        squares = (points**2).sum(axis=1, keepdims=True)
        return np.concatenate([-2 * points, squares, np.ones_like(squares)], axis=1).astype(np.float32)

    def look(self, samples: Floats) -> Floats:
        """Mean squared distance to the nearest sample of the other, both ways: (models,).

        Headings count without their sense, so that the pen's direction does not matter. One small product
        a sample: a large one would be shared out to threads, which wait for each other where cores are busy.
        """
        points = _undirected(samples)
        squares = (points**2).sum(axis=1)[:, None]
        factors = np.concatenate([points, np.ones_like(squares), squares], axis=1).astype(np.float32)
        apart = factors @ self._factors  # (samples of the models, samples of the drawing, models)
        nearest = apart.min(axis=0).mean(axis=0) + apart.min(axis=1).mean(axis=0)
        both: Floats = np.maximum(nearest, 0.0).astype(np.float64) / 2
        return both


def _undirected(samples: Floats) -> Floats:
    """Headings with their angle doubled, so that a line and the same line run back are alike."""
    x, y = samples[..., 2] / WEIGHTS.look_heading, samples[..., 3] / WEIGHTS.look_heading
    doubled = WEIGHTS.look_heading * np.stack([x**2 - y**2, 2 * x * y], axis=-1)
    return np.concatenate([samples[..., :2], doubled], axis=-1)
