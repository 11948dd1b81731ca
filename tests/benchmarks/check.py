"""How long `check` takes, letter by letter, against 40 calls of C code: `-m tests.benchmarks.check`."""

from __future__ import annotations

from strokes import check
from tests.benchmarks.reference import table

if __name__ == "__main__":
    table("check", lambda ink, letter, alphabet: check(ink, letter, guide=alphabet.guide))
