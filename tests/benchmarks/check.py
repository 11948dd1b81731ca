"""How long `check` takes against 40 calls of C code: `python -m tests.benchmarks.check [FILE.npz]`.

Letter by letter as the simulated hand writes them; with a file of labelled ink (`strokes/labelled.py`) also
for real letters, by their number of traces.
"""

from __future__ import annotations

import sys
from pathlib import Path

from strokes import Alphabet, Ink, Letter, Report, check
from tests.benchmarks.reference import table, table_of_real


def between_lines(ink: Ink, letter: Letter, alphabet: Alphabet) -> Report:
    return check(ink, letter, guide=alphabet.guide)


def anywhere(ink: Ink, letter: Letter, _: Alphabet) -> Report:
    return check(ink, letter)


if __name__ == "__main__":
    table("check", between_lines)
    if len(sys.argv) > 1:
        table_of_real("check", anywhere, Path(sys.argv[1]))
