"""How long `identify` takes among small letters against 40 calls of C code: `-m tests.benchmarks.identify`.

Then, by turns in one run, among all letters against the 26, and what a check takes with all and with 26.
"""

from __future__ import annotations

import statistics
from functools import partial

from strokes import Alphabet, Ink, check, identify
from strokes.simulation import write
from tests.benchmarks.reference import in_turn, table


def against_26(rounds: int = 15) -> None:
    """Print what all letters of the shipped alphabet cost, as a ratio to its 26 plain small letters."""
    every = Alphabet.load()
    small = Alphabet("small", tuple(every[chr(code)] for code in range(ord("a"), ord("z") + 1)))
    called, checked = [], []
    for name in small:
        ink: Ink = write(every[name], seed=7)
        called.append(in_turn([partial(identify, ink, every), partial(identify, ink, small)], rounds))
        asked = "a" if name != "a" else "b"  # another letter: the most that a check looks at
        checked.append(
            in_turn([partial(check, ink, every[asked]), partial(check, ink, small[asked])], rounds)
        )
    for what, times in (("identify", called), ("check, another letter asked for", checked)):
        many, few = (1e3 * statistics.median(column) for column in zip(*times, strict=True))
        print(f"{what}: {many:.2f} ms of {len(every)} letters, {few:.2f} ms of 26, ratio {many / few:.2f}")


if __name__ == "__main__":
    small = Alphabet.load().only("small")
    table("identify", lambda ink, _letter, _alphabet: identify(ink, small))
    against_26()
