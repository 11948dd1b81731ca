"""Dynamic time warping of resampled lines: many pairs at once, in numpy or compiled."""

from strokes.warping.pairs import Lines, WarpingPath, distances, paths, table, use_lanes

__all__ = [
    "Lines",
    "WarpingPath",
    "distances",
    "paths",
    "table",
    "use_lanes",
]
