"""Dynamic time warping of resampled lines: many pairs at once, in numpy or compiled, and a line that grows.

Whole pairs go through `pairs`, whatever fills their tables; a trace under the pen has its rows in `growing`.

numba stays an extra. What the window needs, one letter of a child at a time, numpy warps in a few
milliseconds, less than a frame, while importing numba takes 0.3 s, and compiling longer the first time; it
is the largest of all the libraries, about 200 MB, and comes late for a new Python. Compiled lanes are seven
times as fast for thousands of letters: the evaluation and judging old ink again. So they are used there if
they are installed, the answers are the same to rounding, and nobody has to install them.
"""

from strokes.warping.growing import GrowingTable, factors
from strokes.warping.pairs import Lines, WarpingPath, distances, paths, table, use_lanes

__all__ = [
    "GrowingTable",
    "Lines",
    "WarpingPath",
    "distances",
    "factors",
    "paths",
    "table",
    "use_lanes",
]
