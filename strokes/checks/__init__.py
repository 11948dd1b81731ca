"""How a letter was written: the checks, the trace under the pen, and the version of the checks."""

from strokes.checks.checker import check, measure
from strokes.checks.legibility import touches
from strokes.checks.live import LiveTrace
from strokes.checks.measures import Measure
from strokes.checks.partial import Reading, Target, reached, read, rest_of, targets
from strokes.checks.version import edition

__all__ = [
    "LiveTrace",
    "Measure",
    "Reading",
    "Target",
    "check",
    "edition",
    "measure",
    "reached",
    "read",
    "rest_of",
    "targets",
    "touches",
]
