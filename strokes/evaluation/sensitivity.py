"""The same ink as another screen or a less steady hand would have given it: a verdict should not flip.

Every change keeps what the pen did.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass
from typing import TypeAlias

import numpy as np

from strokes.evaluation.labelled import Sample
from strokes.evaluation.trace_shape import Traces
from strokes.polyline import Floats, arc_lengths, points_at


@dataclass(frozen=True, eq=False)
class ChangeInput:
    """What is changed: a sample, its x-height in its own units, and a source of chance."""

    sample: Sample
    unit: float
    random: np.random.Generator


Change: TypeAlias = Callable[[ChangeInput], Traces]

RATE = 100.0
"""Points a second where a time is unknown: the donors' tablets gave about that."""

TREMOR = 0.06
PIXELS = 40
WAVES = 6
"""Tremor is so many sine waves a direction, 4 to 12 a second as a hand trembles, at the writer's speed."""


@dataclass(frozen=True)
class Sensitivity:
    """A change with a name; `group` is what it is counted with."""

    name: str
    group: str
    change: Change


def tremor(given: ChangeInput) -> Traces:
    """Band-limited noise added to every point, TREMOR x-heights at most."""
    moved = []
    for trace, times in zip(given.sample.traces, _times(given.sample), strict=True):
        waves = np.zeros_like(trace)
        for axis in range(2):
            cycles = given.random.uniform(4, 12, WAVES)
            phase = given.random.uniform(0, 2 * np.pi, WAVES)
            waves[:, axis] = np.sin(2 * np.pi * np.outer(times, cycles) + phase).mean(axis=1)
        largest = float(np.hypot(*waves.T).max())
        moved.append(trace + waves * (TREMOR * given.unit / largest if largest > 0 else 0.0))
    return tuple(moved)


def at_rate(hertz: float) -> Change:
    """Only as many points as a screen would give that looks `hertz` times a second; ends stay."""

    def change(given: ChangeInput) -> Traces:
        resampled = []
        for trace, times in zip(given.sample.traces, _times(given.sample), strict=True):
            stops = np.arange(times[0], times[-1], 1 / hertz)
            stops = np.append(stops, times[-1])
            resampled.append(np.column_stack([np.interp(stops, times, axis) for axis in trace.T]))
        return tuple(resampled)

    return change


def in_pixels(given: ChangeInput) -> Traces:
    """Whole pixels, where an x-height has PIXELS of them."""
    return tuple(np.rint(trace * (PIXELS / given.unit)) for trace in given.sample.traces)


def paced(given: ChangeInput) -> Traces:
    """The same line with its points elsewhere along it: fast where the writer was slow, at random."""
    moved = []
    for trace in given.sample.traces:
        along = arc_lengths(trace)
        count = max(2, len(trace))
        steps = given.random.uniform(0.2, 1.8, count - 1)
        stops = np.concatenate([[0.0], np.cumsum(steps) / steps.sum()]) * along[-1]
        moved.append(points_at(trace, along, np.union1d(stops, along)))
    return tuple(moved)


def turned(degrees: float) -> Change:
    """Rotated by so much, clockwise as seen."""
    angle = np.radians(degrees)
    turn = np.array([[np.cos(angle), np.sin(angle)], [-np.sin(angle), np.cos(angle)]])

    def change(given: ChangeInput) -> Traces:
        return tuple(trace @ turn for trace in given.sample.traces)

    return change


def sized(factor: float) -> Change:
    """Larger or smaller."""

    def change(given: ChangeInput) -> Traces:
        return tuple(trace * factor for trace in given.sample.traces)

    return change


def _times(sample: Sample) -> Iterator[Floats]:
    if sample.times is not None:
        yield from sample.times
    else:
        yield from (np.arange(len(trace)) / RATE for trace in sample.traces)


CHANGES: tuple[Sensitivity, ...] = (
    Sensitivity("tremor up to 0.06 x-height", "tremor", tremor),
    *(Sensitivity(f"{hertz} points a second", "sampling", at_rate(hertz)) for hertz in (10, 20, 30, 60, 100)),
    Sensitivity("whole pixels, x-height 40", "pixels", in_pixels),
    Sensitivity("another pace along the line", "speed", paced),
    *(Sensitivity(f"rotated {angle:+d}°", "rotation", turned(angle)) for angle in (-8, -4, 4, 8)),
    *(Sensitivity(f"{factor} times the size", "size", sized(factor)) for factor in (0.7, 1.4)),
)
