"""How long `identify` takes among all letters against 40 calls of C code: `-m tests.benchmarks.identify`."""

from __future__ import annotations

from strokes import identify
from tests.benchmarks.reference import table

if __name__ == "__main__":
    table("identify", lambda ink, _letter, alphabet: identify(ink, alphabet))
