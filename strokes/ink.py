"""What the pen did, untouched: traces of points, pen down to pen up, with whatever else is known of them.

Pressure and tilt are kept where a device gives them, and nothing is judged by them.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from functools import cached_property

import numpy as np
from numpy.typing import ArrayLike

from strokes.errors import InkError
from strokes.polyline import LARGEST, Box, Floats, Polyline, around, as_numbers, as_polyline, bounds
from strokes.transform import Transform


@dataclass(frozen=True, eq=False)
class Trace:
    """One touch of the pen: `points` (n, 2), and `times` (n,) in seconds from the first touch, or None.

    `pressure` (n,) is a share of what the device can tell, 0 to 1. `tilt` (n, 2) is how many degrees the pen
    leans to the right and toward the writer, -90 to 90, as in W3C Pointer Events. None where unknown.
    """

    points: Polyline
    times: Floats | None = None
    pressure: Floats | None = None
    tilt: Floats | None = None

    def __post_init__(self) -> None:
        object.__setattr__(self, "points", as_polyline(self.points))
        count = len(self.points)
        times = self._told("times", self.times, (count,), LARGEST, "seconds")
        if times is not None and (np.diff(times) < 0).any():
            raise InkError("times must not run backwards")
        pressure = self._told("pressure", self.pressure, (count,), 1.0, "the device's range")
        if pressure is not None and (pressure < 0).any():
            raise InkError("pressure must not be below 0")
        self._told("tilt", self.tilt, (count, 2), 90.0, "degrees")

    def _told(
        self, name: str, values: Floats | None, shape: tuple[int, ...], largest: float, unit: str
    ) -> Floats | None:
        """What is told of each point, checked and frozen; None where nothing is."""
        if values is None:
            return None
        numbers = as_numbers(values, f"{name} must be numbers")
        if numbers.shape != shape:
            raise InkError(f"{name} must have the shape {shape}, not {numbers.shape}")
        if not (np.abs(numbers) <= largest).all():
            raise InkError(f"{name} must be finite and within {largest:g} {unit}")
        numbers.flags.writeable = False
        object.__setattr__(self, name, numbers)
        return numbers

    def __len__(self) -> int:
        return len(self.points)

    @cached_property
    def bounds(self) -> Box:
        """The box around it: left, top, right, bottom."""
        return bounds(self.points)


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

    @cached_property
    def bounds(self) -> Box:
        """The box around all traces: left, top, right, bottom. Raises InkError when there is no ink."""
        if not self.traces:
            raise InkError("ink must have at least one trace, not none")
        return around([trace.bounds for trace in self.traces])

    def plus(self, trace: Trace) -> Ink:
        """This ink with one more trace at the end."""
        return Ink((*self.traces, trace))

    def transformed(self, transform: Transform) -> Ink:
        """The same ink in another space; all but the places stays."""
        return Ink(tuple(replace(trace, points=transform.apply(trace.points)) for trace in self.traces))
