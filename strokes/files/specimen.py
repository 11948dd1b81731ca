"""A specimen of handwriting from a file: its ink, and what the file says about it."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field

from strokes.ink import Ink, Trace

LARGEST_INK_FILE = 64 * 1024 * 1024
"""Bytes. A class writes about this much in a year, one explicit value after the other."""

MOST_POINTS = 4_000_000
MOST_IN_TRACE = 100_000
"""Points of one trace: a quarter of an hour without a lift, 100 times a second."""

MOST_TRACES = 200_000
MOST_NESTED = 40
"""How deep groups in groups, or files that include files, may go."""

FARTHEST = 1e9
"""No coordinate may be farther from 0 than this, in the file's unit: lengths and areas must stay finite."""

DEVICE, MILLIMETERS, X_HEIGHTS = "dev", "mm", "ex"
"""The units of ink: the device's own, of which nothing is known; a real length; letter space."""


@dataclass(frozen=True, eq=False)
class Specimen:
    """One piece of handwriting: `about` maps what is told of it, such as `letter`, to the text that is told.

    y grows downward whatever the file does, and times are in seconds from the first touch.
    """

    ink: Ink
    about: Mapping[str, str] = field(default_factory=dict)
    unit: str = DEVICE


def timed(traces: Sequence[Trace]) -> Ink:
    """The ink of these traces, the clock set to 0 at the first touch; without times unless all have them."""
    stamps = [trace.times for trace in traces if trace.times is not None]
    if len(stamps) < len(traces):
        return Ink(tuple(Trace(trace.points) for trace in traces))
    start = min((float(times[0]) for times in stamps), default=0.0)
    return Ink(tuple(Trace(trace.points, times - start) for trace, times in zip(traces, stamps, strict=True)))
