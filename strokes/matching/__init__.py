"""Which trace stands for which stroke, run which way: ink explained by a formation.

In come ink and formations; out comes for each formation the cheapest assignment of traces to strokes, with
the traversal of each stroke, what is missing or extra, the fit of the formation to the ink, and what all
that costs; and the warping paths along it.

Every assignment that may be the cheapest is priced by warping, all of them at once. Ink has any place,
size and slant here: it is fitted by its box first, and by least squares along the warping paths then.
"""

from strokes.matching.alignment import Aligned, align
from strokes.matching.hypotheses import Explanation
from strokes.matching.matcher import explain
from strokes.matching.samples import SAMPLES, headed, shares_of, weigh_headings
from strokes.matching.traversals import headed_samples, surely_turned, traversals

__all__ = [
    "SAMPLES",
    "Aligned",
    "Explanation",
    "align",
    "explain",
    "headed",
    "headed_samples",
    "shares_of",
    "surely_turned",
    "traversals",
    "weigh_headings",
]
