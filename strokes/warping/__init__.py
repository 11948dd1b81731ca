"""Dynamic time warping of resampled lines: many pairs at once, in numpy or compiled."""
