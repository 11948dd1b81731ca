"""Strokes written by a person into clean curves: a new letter.

In comes the ink of one or several tries; out comes a Letter whose strokes are cubic Bézier curves, few and
within a bound, or the curves of some of its strokes. Curves can be mended: turned, split, joined, a point
moved. `trial` tells how a letter does in its alphabet before anybody practices it: with the simulated hand,
with its faults, and beside the letters it is nearest to.
"""

from strokes.curves import Curves
from strokes.modeling.averaging import average
from strokes.modeling.fitting import ERROR, LARGEST_ERROR, SMALLEST_ERROR, fit_stroke
from strokes.modeling.letter_from_ink import letter_from_ink, strokes_from_ink
from strokes.modeling.mending import join, move_point, reverse, smooth_nodes, split, split_at
from strokes.modeling.trial import Confusion, NotFormed, Trial, Unnoticed, trial

__all__ = [
    "ERROR",
    "LARGEST_ERROR",
    "SMALLEST_ERROR",
    "Confusion",
    "Curves",
    "NotFormed",
    "Trial",
    "Unnoticed",
    "average",
    "fit_stroke",
    "join",
    "letter_from_ink",
    "move_point",
    "reverse",
    "smooth_nodes",
    "split",
    "split_at",
    "strokes_from_ink",
    "trial",
]
