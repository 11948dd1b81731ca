"""Ink as a picture can hold it, whatever was written or came from elsewhere."""

from __future__ import annotations

import numpy as np

from strokes.ink import Ink, Trace

FARTHEST = 20.0
"""X-heights from 0: what lies farther is drawn there. A picture as large as its ink may be endless."""

MOST_TRACES, MOST_POINTS = 200, 20_000
"""Of one attempt in a picture: some times what a scribble has."""


def drawable(ink: Ink) -> Ink:
    """Ink with nothing farther than `FARTHEST`, and few enough traces and points."""
    traces = ink.traces[:MOST_TRACES]
    every = 1 + sum(map(len, traces)) // MOST_POINTS
    return Ink(tuple(_drawable(trace, every) for trace in traces))


def _drawable(trace: Trace, every: int) -> Trace:
    chosen = np.unique([*range(0, len(trace), every), len(trace) - 1])
    points = np.clip(trace.points[chosen], -FARTHEST, FARTHEST)
    return Trace(points, None if trace.times is None else trace.times[chosen])
