"""A word on one line as a steady hand writes it, each letter moved, scaled or left as a test wants."""

from __future__ import annotations

from collections.abc import Mapping

from strokes.alphabet import Alphabet
from strokes.ink import Ink, Trace
from strokes.simulation import write
from trainer.drawing import lettering


def word_by_hand(
    alphabet: Alphabet,
    word: str,
    *,
    moved: Mapping[int, tuple[float, float]] | None = None,
    scaled: Mapping[int, tuple[float, float]] | None = None,
    seed: int = 0,
) -> Ink:
    """The letters in the alphabet's own spacing; by place, how far one is `moved` and how much `scaled`.

    A letter is scaled from the base line and its left end.
    """
    row, _ = lettering.spaced(alphabet, word)
    traces, clock = [], 0.0
    for place, (letter, shift) in enumerate(row):
        across, down = (moved or {}).get(place, (0.0, 0.0))
        wide, high = (scaled or {}).get(place, (1.0, 1.0))
        left = letter.taught.bounds[0]
        for trace in write(letter, seed=seed + place).traces:
            points = (trace.points - (left, 0.0)) * (wide, high) + (left + shift + across, down)
            assert trace.times is not None
            traces.append(Trace(points, trace.times + clock))
        clock = float(traces[-1].times[-1]) + 0.3 if traces[-1].times is not None else clock
    return Ink(tuple(traces))
