"""How long `check` takes, letter by letter, against 40 calls of C code: `-m tests.benchmarks.check`."""

from __future__ import annotations

import statistics

from strokes import Alphabet, check
from strokes.hand import write
from tests.benchmarks.reference import Times, forty_calls, heading, in_turn, models, row

ROUNDS = 30


def main() -> None:
    """Print one row a letter, with the alphabet's guide lines, and the median of all."""
    alphabet = Alphabet.load()
    paths = models(alphabet)
    print(heading("check"))
    every: list[Times] = []
    for name, letter in alphabet.items():
        ink = write(letter, seed=7)
        times = in_turn(
            lambda ink=ink, letter=letter: check(ink, letter, guide=alphabet.guide),
            lambda ink=ink: forty_calls(ink, paths),
            ROUNDS,
        )
        every.append(times)
        print(row(name, times))
    measured = statistics.median(times.measured for times in every)
    print(row("median", Times(measured, statistics.median(times.reference for times in every))))


if __name__ == "__main__":
    main()
