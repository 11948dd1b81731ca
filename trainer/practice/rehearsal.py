"""A letter written without a window: the same following, judging and saying as behind it."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import lru_cache

from numpy.typing import ArrayLike

from strokes.alphabet import Alphabet
from strokes.ink import Ink
from strokes.kinds import Kind
from strokes.letter import Hand
from trainer.attempt import Step
from trainer.judging import Judge, Judged
from trainer.language import phrases


@dataclass(frozen=True)
class Rehearsed:
    """What the window would have shown and said.

    `shown` has for each trace None, or the stroke that was shown again after it and why. `finished` tells
    that the letter would have ended by itself after its rest.
    """

    shown: tuple[tuple[int, Kind] | None, ...]
    sentence: str
    kinds: frozenset[Kind]
    formed: bool
    mended: bool
    finished: bool
    judged: Judged


def rehearse(
    letter: str,
    traces: Sequence[ArrayLike],
    *,
    step: str = "copy",
    hand: Hand | None = None,
    alphabet: Alphabet | None = None,
) -> Rehearsed:
    """Write `traces`, each (n, 2) in letter space, one after the other, at a step, and hear the answer.

    Raises KeyError for a letter that the alphabet does not have, InkError for no traces at all.
    """
    judge = Judge(alphabet or _print(), hand)
    written = judge.written(letter, Step(step))
    hints = [written.take(trace) for trace in Ink.from_arrays(traces).traces]
    judged = written.judged
    return Rehearsed(
        tuple((hint.stroke, hint.kind) if hint else None for hint in hints),
        phrases.say(judged, guide=judge.alphabet.guide).sentence,
        judged.report.kinds,
        judged.report.well_formed,
        judged.mended,
        judged.there != "no",
        judged,
    )


@lru_cache(maxsize=1)
def _print() -> Alphabet:
    return Alphabet.load()
