"""Where the pen is at a time, for showing a letter being written at a natural pace."""

from __future__ import annotations

from dataclasses import dataclass, field

import numpy as np

from strokes.letter import Formation
from strokes.polyline import Floats, Polyline, arc_lengths, corners, points_at

SPEED = 1.6
"""X-heights a second on a straight piece: slow enough for a child to follow; to be tuned with teachers."""

HOP = 0.45
"""Seconds in the air between two strokes."""

_STEP = 0.02  # x-heights between the points at which the pace is worked out
_EASE = 0.18  # x-heights over which the pen gets going or comes to rest
_SLOWEST = 0.3  # share of SPEED at an end or a corner, so that it is never at a stand
_FREE_RADIUS = 1.0  # x-heights; a wider curve is taken at full speed


def _timed(path: Polyline, speed: float) -> tuple[Polyline, Floats]:
    """`path` at small steps with the second at which the pen is at each point, from 0.

    Speed falls with the cube root of the curvature, the two-thirds power law of drawing (Lacquaniti,
    Terzuolo & Viviani 1983, from memory), and near ends and corners.
    """
    along = arc_lengths(path)
    total = float(along[-1])
    if total == 0.0:
        return path[[0, -1]], np.array([0.0, 0.1])
    stops = np.linspace(0.0, total, max(3, int(np.ceil(total / _STEP)) + 1))
    line = points_at(path, along, stops)
    steps = np.diff(line, axis=0)
    heading = np.unwrap(np.arctan2(steps[:, 1], steps[:, 0]))
    bend = np.abs(np.gradient(heading, stops[1])) if len(heading) > 1 else np.zeros(1)
    share = np.minimum(1.0, (_FREE_RADIUS * np.maximum(bend, 1e-9)) ** (-1 / 3))
    middle = (stops[:-1] + stops[1:]) / 2
    rests = np.concatenate([[0.0], corners(path), [total]])
    near = np.abs(middle[:, None] - rests[None, :]).min(axis=1)
    share = np.clip(share * np.sqrt(np.minimum(1.0, near / _EASE)), _SLOWEST, 1.0)
    times = np.concatenate([[0.0], np.cumsum(np.diff(stops) / (speed * share))])
    return line, times


@dataclass(frozen=True, eq=False)
class Pace:
    """A formation being written: which stroke and where at any time, at `speed` x-heights a second."""

    formation: Formation
    speed: float = SPEED
    _lines: tuple[tuple[Polyline, Floats], ...] = field(init=False, repr=False)

    def __post_init__(self) -> None:
        lines, clock = [], 0.0
        for stroke in self.formation.strokes:
            line, times = _timed(stroke.path, self.speed)
            lines.append((line, times + clock))
            clock += float(times[-1]) + HOP * SPEED / self.speed
        object.__setattr__(self, "_lines", tuple(lines))

    @property
    def duration(self) -> float:
        """Seconds from the first touch to the last lift."""
        return float(self._lines[-1][1][-1])

    def span(self, stroke: int) -> tuple[float, float]:
        """When the pen comes down for this stroke and when it lifts."""
        times = self._lines[stroke][1]
        return float(times[0]), float(times[-1])

    def traces(self) -> tuple[tuple[Polyline, Floats], ...]:
        """For each stroke its points (n, 2) and the times (n,) at which the pen is there."""
        return self._lines

    def at(self, time: float) -> tuple[int, Polyline, bool]:
        """The stroke that is due, the pen's place (2,), and whether it is down.

        Between strokes the place glides from the lift to the next start. Times beyond the ends are taken
        as the ends.
        """
        for index, (line, times) in enumerate(self._lines):
            if time <= times[-1]:
                if time >= times[0] or index == 0:
                    return index, _place(line, times, time), True
                lifted, lift = self._lines[index - 1][0][-1], self._lines[index - 1][1][-1]
                share = (time - lift) / (times[0] - lift)
                return index, lifted + share * (line[0] - lifted), False
        return len(self._lines) - 1, self._lines[-1][0][-1].copy(), True

    def written(self, time: float) -> list[Polyline]:
        """What is on the paper at `time`: an (n, 2) array a stroke begun so far."""
        done = []
        for line, times in self._lines:
            if time < times[0]:
                break
            count = int(np.searchsorted(times, time, side="right"))
            done.append(line if count == len(line) else np.vstack([line[:count], _place(line, times, time)]))
        return done


def _place(line: Polyline, times: Floats, time: float) -> Polyline:
    return np.array([np.interp(time, times, axis) for axis in line.T])
