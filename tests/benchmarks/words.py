"""How many taught sets a second are answered with their words, and what that is beside looking at each box.

python -m tests.benchmarks.words
"""

from __future__ import annotations

import random
from string import ascii_lowercase
from time import process_time

from trainer.wordbank import LETTERS, Taught, WordBank, shipped_words

SETS = 1000


def drawn(bank: WordBank, seed: int = 1) -> list[Taught]:
    """Taught sets of all sizes, drawn at random."""
    draw = random.Random(seed)
    spellings = [way.name for way in bank.graphemes.correspondences if way.step != LETTERS]
    return [
        Taught(
            frozenset(draw.sample(ascii_lowercase, draw.randint(3, 26))),
            frozenset(draw.sample(spellings, draw.randint(0, len(spellings)))),
            exceptions=draw.random() < 0.5,
        )
        for _ in range(SETS)
    ]


def one_by_one(bank: WordBank, taught: Taught) -> int:
    """The peer: what each word needs is looked up and compared as sets of names."""
    known = taught.letters | taught.spellings | ({"exceptions"} if taught.exceptions else set())
    return sum(bank.needs(word) <= known for word in bank.words)


def main() -> None:
    """Print the words, the rate in CPU seconds, and the ratio to the peer."""
    bank = WordBank(shipped_words())
    sets = drawn(bank)
    start = process_time()
    offered = [len(bank.offered(taught, "aens")) for taught in sets]
    own = process_time() - start
    start = process_time()
    counted = [one_by_one(bank, taught) for taught in sets[: SETS // 20]]
    peer = (process_time() - start) * 20
    assert offered[: len(counted)] == counted
    print(f"{len(bank.words)} words, {sum(offered) / SETS:.0f} offered a set")
    print(f"{SETS / own:.0f} taught sets a second of CPU, {peer / own:.0f} times as many as one by one")


if __name__ == "__main__":
    main()
