"""What a teacher saw on paper, summed up letter by letter: her own word, never mixed with attempts."""

from __future__ import annotations

from collections import Counter, defaultdict
from collections.abc import Iterable, Sequence
from datetime import date
from typing import NamedTuple

from strokes.kinds import Kind
from trainer.attempt import Observation
from trainer.teaching.letter_sets import place_in

_PLACES = {kind: place for place, kind in enumerate(Kind)}


class Observed(NamedTuple):
    """One letter on paper: of how many looked at so many were well formed, when last, and what was seen.

    `kinds` come most often seen first, then in teaching order.
    """

    letter: str
    formed: int
    looked_at: int
    last: date
    kinds: tuple[Kind, ...]


def observed(observations: Iterable[Observation], order: Sequence[str] = ()) -> tuple[Observed, ...]:
    """The letters that were looked at, in teaching order; letters without a place in it come after it."""
    by_letter: dict[str, list[Observation]] = defaultdict(list)
    for observation in observations:
        by_letter[observation.letter].append(observation)
    return tuple(_together(letter, by_letter[letter]) for letter in sorted(by_letter, key=place_in(order)))


def _together(letter: str, own: Sequence[Observation]) -> Observed:
    counts = Counter(kind for observation in own for kind in observation.seen)
    return Observed(
        letter,
        sum(observation.formed for observation in own),
        len(own),
        max(observation.day for observation in own),
        tuple(sorted(counts, key=lambda kind: (-counts[kind], _PLACES[kind]))),
    )
