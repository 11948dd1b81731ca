"""How far a word on one line may stray before a check speaks, a set a stage; how its letters are parted."""

from __future__ import annotations

from dataclasses import dataclass

from strokes.errors import ToleranceError
from strokes.tolerances import Limits


@dataclass(frozen=True, kw_only=True)
class WordTolerances(Limits):
    """Lengths in x-heights. No published tolerance for children of 4 to 7 was found: ours, to be tuned.

    The values here are the stage `growing`.
    """

    # Letters that are nearer than this touch: half the width of a written line.
    touching: float = 0.05
    # How far off the base line a letter may stand: a little more than one alone, as the hand moves along.
    base_line: float = 0.3
    # How far the x-height of a letter may be off the median of the word, as a share: a third is seen at once.
    size: float = 0.35
    # The least share of the room above the x-height that an ascender must use, by the word's own x-height.
    ascender: float = 0.4
    # How far a space may be off the median of the word: as wide as a narrow letter.
    spacing: float = 0.5
    # A space that is wider than this falls between two words: an n has this width, and a bit.
    apart: float = 1.3

    @classmethod
    def of(cls, stage: str) -> WordTolerances:
        """The set of a stage. Raises ToleranceError for a stage that is none of them."""
        if stage not in WORD_STAGES:
            raise ToleranceError(f"a stage must be one of {', '.join(WORD_STAGES)}, not {stage!r}")
        return WORD_STAGES[stage]


WORD_STAGES: dict[str, WordTolerances] = {
    "first": WordTolerances(base_line=0.45, size=0.5, ascender=0.25, spacing=0.75, apart=1.7),
    "growing": WordTolerances(),
    "fluent": WordTolerances(base_line=0.22, size=0.27, ascender=0.5, spacing=0.38, apart=1.1),
}
"""The sets by stage, the first the widest: what a narrower one lets through, a wider one does too."""


@dataclass(frozen=True, kw_only=True)
class WordWeights:
    """How traces are parted into letters: what it costs, in x-heights, to read some traces as one letter."""

    # A trace more or less than an accepted way of the letter has: as bad as a top that is half off.
    trace: float = 0.5
    # What an x-height weighs by which top or bottom of the traces are off those of the letter.
    height: float = 1.0
    # The same for their width, which differs more from hand to hand.
    width: float = 0.6
    # Traces more than any accepted way of a letter has that may still belong to it.
    more: int = 2


WORD_WEIGHTS = WordWeights()
