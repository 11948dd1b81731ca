"""Samples of lines for warping: positions at equal distances, with the heading of the pen behind them."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from strokes.polyline import Floats, Polyline, length, resample
from strokes.weights import WEIGHTS

SAMPLES = WEIGHTS.samples
"""Samples a line."""

_TWICE_A_DOT = 2.0 * WEIGHTS.dot_length * (1.0 + 1e-9)
"""A line over whose samples one sees so far, from before each to behind it, is longer than a dot."""


def weigh_headings(samples: Floats, weight: float) -> Floats:
    """(..., n, 2) positions with their unit headings times `weight` behind them: (..., n, 4)."""
    return _with_headings(samples, weight)[0]


def _with_headings(samples: Floats, weight: float) -> tuple[Floats, Floats]:
    """The same, and how far it is from the sample before each to the one behind it: (..., n, 1)."""
    every = np.zeros((*samples.shape[:-1], 4))
    every[..., :2] = samples
    around = np.empty_like(samples)
    np.subtract(samples[..., 2:, :], samples[..., :-2, :], out=around[..., 1:-1, :])
    np.subtract(samples[..., 1, :], samples[..., 0, :], out=around[..., 0, :])
    np.subtract(samples[..., -1, :], samples[..., -2, :], out=around[..., -1, :])
    size = np.hypot(around[..., 0], around[..., 1])[..., None]
    heading = every[..., 2:]
    np.divide(around, size, out=heading, where=size > 1e-9)
    heading *= weight
    return every, size


def headed(samples: Floats) -> Floats:
    """Positions in letter space with their headings, weighed as `Weights.heading` says; a dot has none."""
    every, around = _with_headings(samples, WEIGHTS.heading)
    if (np.add.reduce(around[..., 0], axis=-1) < _TWICE_A_DOT).any():
        steps = samples[..., 1:, :] - samples[..., :-1, :]
        run = np.add.reduce(np.hypot(steps[..., 0], steps[..., 1]), axis=-1)
        every[run < WEIGHTS.dot_length, :, 2:] = 0.0
    return every


def shares_of(spans: Floats, count: int) -> list[int]:
    """`count` shared out by length, at least two each."""
    least = min(2, count // max(1, len(spans)))
    total = max(float(spans.sum()), 1e-9)
    counts = np.maximum(least, np.floor(spans / total * count)).astype(int)
    while counts.sum() != count:
        step = 1 if counts.sum() < count else -1
        counts[int(np.argmax(step * (spans / total - counts / count)))] += step
    return [int(count) for count in counts]


def run_line(lines: Sequence[Polyline], *, by_length: bool) -> Polyline:
    """SAMPLES points along several lines, shared out by length or evenly; hops between them are not drawn."""
    if len(lines) == 1:
        return resample(lines[0], SAMPLES)
    spans = np.array([length(line) for line in lines]) if by_length else np.ones(len(lines))
    counts = shares_of(spans, SAMPLES)
    return np.vstack([resample(line, count) for line, count in zip(lines, counts, strict=True)])
