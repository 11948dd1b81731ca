"""Which trace stands for which stroke, run which way: ink explained by a formation."""

from strokes.matching.alignment import Aligned, align
from strokes.matching.hypotheses import Explanation
from strokes.matching.matcher import explain
from strokes.matching.runs import Runs
from strokes.matching.samples import SAMPLES, headed, shares_of, weigh_headings
from strokes.matching.traversals import headed_samples, surely_turned, traversals

__all__ = [
    "SAMPLES",
    "Aligned",
    "Explanation",
    "Runs",
    "align",
    "explain",
    "headed",
    "headed_samples",
    "shares_of",
    "surely_turned",
    "traversals",
    "weigh_headings",
]
