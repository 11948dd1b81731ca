"""A specimen of handwriting from a file: its ink, and what the file says about it."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace

import numpy as np

from strokes.errors import InkError
from strokes.ink import Ink, Trace

LARGEST_INK_FILE = 32 * 1024 * 1024
"""Bytes. A class writes about this much in half a year, one explicit value after the other."""

MOST_POINTS = 1_000_000
"""Of one file: over an hour of a pen that gives 240 points a second and is never lifted."""

MOST_IN_TRACE = 100_000
"""Points of one trace: a quarter of an hour without a lift, 100 times a second."""

MOST_TRACES, MOST_SPECIMENS = 50_000, 20_000
"""Of one file. A school writes fewer letters in a week, and each costs more in memory than its points."""

MOST_NESTED = 40
"""How deep groups in groups, or files that include files, may go."""

DEVICE, MILLIMETERS, X_HEIGHTS = "dev", "mm", "ex"
"""The units of ink: the device's own, of which nothing is known; a real length; letter space."""

FARTHEST = 1e9
"""No number may be farther from 0 than this, in the file's unit: lengths and areas must stay finite."""

WIDEST = {DEVICE: FARTHEST, MILLIMETERS: 1e5, X_HEIGHTS: 1e4}
"""How far a place may lie from 0 by its unit: a hundred meters, and more x-heights than any wall has."""

LONGEST = 86_400.0
"""Seconds from the first touch of a specimen to its last: a day."""

MOST_ABOUT, LONGEST_ABOUT = 100, 1000
"""What may be told of one specimen: so many kinds of it, each in so many characters at most."""


@dataclass(frozen=True, eq=False, slots=True)
class Specimen:
    """One piece of handwriting: `about` maps what is told of it, such as `letter`, to the text that is told.

    y grows downward whatever the file does, and times are in seconds from the first touch.
    """

    ink: Ink
    about: Mapping[str, str] = field(default_factory=dict)
    unit: str = DEVICE


def timed(traces: Sequence[Trace], unit: str = DEVICE) -> Ink:
    """The ink of these traces, the clock set to 0 at the first touch; without times unless all have them.

    Raises InkError for ink that goes farther than `WIDEST` or takes longer than `LONGEST`.
    """
    reach = max((float(np.abs(trace.points).max()) for trace in traces), default=0.0)
    if reach > WIDEST[unit]:
        raise InkError(f"places must lie within {WIDEST[unit]:g} {unit} of 0, not {reach:.7g} away")
    stamps = [trace.times for trace in traces if trace.times is not None]
    if len(stamps) < len(traces):
        return Ink(tuple(replace(trace, times=None) for trace in traces))
    start = min((float(times[0]) for times in stamps), default=0.0)
    lasts = max((float(times[-1]) for times in stamps), default=0.0) - start
    if lasts > LONGEST:
        raise InkError(f"one specimen must be written within {LONGEST:g} seconds, not {lasts:.7g}")
    return Ink(
        tuple(replace(trace, times=times - start) for trace, times in zip(traces, stamps, strict=True))
    )
