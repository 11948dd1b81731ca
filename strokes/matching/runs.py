"""The traces of an ink and their runs: several traces that may stand for one stroke, as one line."""

from __future__ import annotations

from collections.abc import Sequence
from functools import lru_cache

import numpy as np

from strokes.letter import Formation, Stroke
from strokes.matching.samples import SAMPLES, run_line
from strokes.polyline import Floats, Polyline, resample
from strokes.weights import WEIGHTS


class Runs:
    """The traces of an ink, and each run of them as SAMPLES points, worked out once."""

    def __init__(self, traces: Sequence[Polyline]) -> None:
        self.traces = traces
        self._lines: dict[tuple[int, ...], Polyline] = {}

    def __len__(self) -> int:
        return len(self.traces)

    def line(self, run: tuple[int, ...]) -> Polyline:
        """The samples of the traces with these numbers, each trace having as many as the others."""
        if run not in self._lines:
            self._lines[run] = run_line([self.traces[k] for k in run], by_length=False)
        return self._lines[run]

    def lines(self, wanted: Sequence[tuple[int, ...]]) -> Floats:
        """The samples of these runs, one after the other, each as often as it is asked for."""
        numbers = {run: number for number, run in enumerate(dict.fromkeys(wanted))}
        every: Floats = np.array([self.line(run) for run in numbers])
        return every[[numbers[run] for run in wanted]]


def placed(formation: Formation, run: tuple[int, ...], drawn: Polyline) -> Polyline:
    """Ink for a run of strokes, in letter space; any small mark at any height is taken for a dot."""
    if not stands_for_dot(formation, run):
        return drawn
    dot, middle = _dot(formation.strokes[run[0]])
    low, high = drawn.min(axis=0), drawn.max(axis=0)
    across, down = (low + high) / 2 - middle
    if float(np.hypot(*(high - low))) < WEIGHTS.mark:
        laid: Polyline = dot + (WEIGHTS.dot_aside * across, max(0.0, down))
    else:
        laid = drawn + (0.0, max(0.0, -down))
    return laid


@lru_cache(maxsize=4096)
def stands_for_dot(formation: Formation, run: tuple[int, ...]) -> bool:
    """Whether a run of strokes is one dot."""
    return len(run) == 1 and formation.strokes[run[0]].is_dot


@lru_cache(maxsize=1024)
def _dot(stroke: Stroke) -> tuple[Polyline, Floats]:
    """SAMPLES points of a dot, and the mean of its own."""
    return resample(stroke.path, SAMPLES), stroke.path.mean(axis=0)
