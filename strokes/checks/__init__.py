"""How a letter was written: the checks, the trace under the pen, and the version of the checks.

In come ink, a letter, and guide lines where there are any; out comes a Report of findings in teaching
order, or, while the pen is down, what can be told already.

A check measures, and a second step holds the amount against its tolerance. Where there are guide lines,
they tell how low a stem was begun; the fit tells it only where there are none, as a letter whose stem is
cut short is fitted as a smaller one. Between lines a beginning, two letters, taps and a scribble are told
as such, and another letter only when the letter is all there.
"""

from strokes.checks.checker import Lie, check, lie, measure
from strokes.checks.confusions import has_mirror_image, named_case
from strokes.checks.legibility import touches
from strokes.checks.live import LiveTrace
from strokes.checks.measures import Measure
from strokes.checks.partial import Reading, Target, reached, read, rest_of, targets
from strokes.checks.version import VERSION, checks_version, is_of_letter

__all__ = [
    "VERSION",
    "Lie",
    "LiveTrace",
    "Measure",
    "Reading",
    "Target",
    "check",
    "checks_version",
    "has_mirror_image",
    "is_of_letter",
    "lie",
    "measure",
    "named_case",
    "reached",
    "read",
    "rest_of",
    "targets",
    "touches",
]
