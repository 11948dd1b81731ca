"""Which trace stands for which stroke, run which way: ink explained by a formation."""

from strokes.matching.alignment import Aligned, align
from strokes.matching.hypotheses import Explanation
from strokes.matching.matcher import explain
from strokes.matching.runs import Runs
from strokes.matching.samples import SAMPLES, headed, shares_of, weigh_headings
from strokes.matching.traversals import courses, surely_turned

__all__ = [
    "SAMPLES",
    "Aligned",
    "Explanation",
    "Runs",
    "align",
    "courses",
    "explain",
    "headed",
    "shares_of",
    "surely_turned",
    "weigh_headings",
]
