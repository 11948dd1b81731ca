"""The traces of an ink and their runs: several traces that may stand for one stroke, as one line."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from strokes.letter import Formation
from strokes.matching.samples import run_line
from strokes.polyline import Polyline, resample
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


def placed(formation: Formation, run: tuple[int, ...], drawn: Polyline) -> Polyline:
    """Ink for a run of strokes, in letter space; any small mark at any height is taken for a dot."""
    stroke = formation.strokes[run[0]]
    if len(run) > 1 or not stroke.is_dot:
        return drawn
    low, high = drawn.min(axis=0), drawn.max(axis=0)
    across, down = (low + high) / 2 - stroke.path.mean(axis=0)
    if float(np.hypot(*(high - low))) < WEIGHTS.mark:
        laid: Polyline = resample(stroke.path, len(drawn)) + (WEIGHTS.dot_aside * across, max(0.0, down))
    else:
        laid = drawn + (0.0, max(0.0, -down))
    return laid
