"""A letter is tried before it is used: is it well formed from a steady hand, what is it mistaken for."""

from __future__ import annotations

from collections import Counter
from collections.abc import Mapping
from dataclasses import dataclass, replace

from strokes.alphabet import Alphabet
from strokes.checks import check
from strokes.kinds import Kind
from strokes.letter import Letter
from strokes.simulation import write

INKS = 50
"""How often a simulated hand writes the letter."""


@dataclass(frozen=True)
class Outcome:
    """Of `inks` inks, how many came back well `formed`, and how many as another letter, by its name."""

    inks: int
    formed: int
    mistaken: Mapping[str, int]


def try_letter(letter: Letter, alphabet: Alphabet) -> Outcome:
    """Let a simulated hand write the letter among the others of the alphabet, and judge what it wrote."""
    others = tuple(replace(other, others=()) for other in alphabet.letters if other.name != letter.name)
    among = replace(letter, others=others)
    formed, mistaken = 0, Counter[str]()
    for seed in range(INKS):
        report = check(write(letter, seed=seed), among, guide=alphabet.guide)
        formed += report.formed
        mistaken.update({one.letter for one in report.findings if one.kind is Kind.LETTER and one.letter})
    return Outcome(INKS, formed, mistaken)
