"""What the pen did, untouched: traces of points, pen down to pen up, with times where they are known."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike

from strokes.errors import InkError
from strokes.polyline import LARGEST, Floats, Polyline, as_numbers, as_polyline, bounds
from strokes.transform import Transform


@dataclass(frozen=True, eq=False)
class Trace:
    """One touch of the pen: `points` (n, 2), and `times` (n,) in seconds from the first touch, or None."""

    points: Polyline
    times: Floats | None = None

    def __post_init__(self) -> None:
        object.__setattr__(self, "points", as_polyline(self.points))
        if self.times is None:
            return
        times = as_numbers(self.times, "times must be numbers")
        if times.shape != (len(self.points),):
            raise InkError(f"times must have the shape ({len(self.points)},), not {times.shape}")
        if not (np.abs(times) <= LARGEST).all():
            raise InkError(f"times must be finite and within {LARGEST:g} seconds")
        if (np.diff(times) < 0).any():
            raise InkError("times must not run backwards")
        times.flags.writeable = False
        object.__setattr__(self, "times", times)

    def __len__(self) -> int:
        return len(self.points)


@dataclass(frozen=True, eq=False)
class Ink:
    """The traces of one attempt in the order they were written; it may be empty before the first touch."""

    traces: tuple[Trace, ...] = ()

    @classmethod
    def from_arrays(cls, arrays: Iterable[ArrayLike], times: Sequence[ArrayLike] | None = None) -> Ink:
        """Ink from one (n, 2) array a trace, in any unit, y growing downward.

        `times`, where given, has one (n,) array a trace, in seconds.
        Raises InkError for a trace without points, for NaN, and for arrays that do not go together.
        """
        lines = [as_polyline(array) for array in arrays]
        if times is None:
            return cls(tuple(Trace(line) for line in lines))
        if len(times) != len(lines):
            raise InkError(f"times must come for each of the {len(lines)} traces, not for {len(times)}")
        stamps = [as_numbers(stamp, "times must be numbers") for stamp in times]
        return cls(tuple(Trace(line, stamp) for line, stamp in zip(lines, stamps, strict=True)))

    def __len__(self) -> int:
        return len(self.traces)

    @property
    def bounds(self) -> tuple[float, float, float, float]:
        """The box around all traces: left, top, right, bottom. Raises InkError when there is no ink."""
        if not self.traces:
            raise InkError("ink must have at least one trace, not none")
        return bounds(np.vstack([trace.points for trace in self.traces]))

    def plus(self, trace: Trace) -> Ink:
        """This ink with one more trace at the end."""
        return Ink((*self.traces, trace))

    def transformed(self, transform: Transform) -> Ink:
        """The same ink in another space; times stay."""
        return Ink(tuple(Trace(transform.apply(trace.points), trace.times) for trace in self.traces))
