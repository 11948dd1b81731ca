"""Strangers' data by the thousand: odd inks at `strokes`, mutated files at every reader.

`python -m tests.hostile --count N --seconds S` attacks one target after the other (`targets`) and tells what
was tried, what was refused, and the slowest and largest. Nothing may come of an input but an answer or an
error of our own, in 2 CPU seconds and 300 MB. What was tried in earnest stands in `tests/README.md`;
`tests/test_hostile.py` runs a sample.
"""
