"""Which trace stands for which stroke, run which way: ink explained by a formation."""

from strokes.matching.alignment import Aligned, align
from strokes.matching.hypotheses import MISSING_COST, Explanation
from strokes.matching.matcher import explain
from strokes.matching.runs import MARK, Runs
from strokes.matching.samples import HEADING, SAMPLES, headed, shares_of, weigh_headings
from strokes.matching.traversals import courses

__all__ = [
    "HEADING",
    "MARK",
    "MISSING_COST",
    "SAMPLES",
    "Aligned",
    "Explanation",
    "Runs",
    "align",
    "courses",
    "explain",
    "headed",
    "shares_of",
    "weigh_headings",
]
