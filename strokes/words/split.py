"""Which traces of a word on one line belong to which of its letters."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from strokes.ink import Ink
from strokes.letter import Hand, Letter
from strokes.words.tolerances import WORD_WEIGHTS


def split(
    ink: Ink, letters: Sequence[Letter], hand: Hand | None = None
) -> tuple[tuple[int, ...], ...] | None:
    """For each letter the numbers of its traces, in the order in which they were written.

    The cheapest parting of the traces from left to right by their middles, each letter with one or more. None
    where there are fewer traces than letters: some were run together. The last letter takes what is too much.
    """
    count = len(ink)
    if not letters or count < len(letters):
        return None
    boxes = np.array([np.r_[trace.points.min(axis=0), trace.points.max(axis=0)] for trace in ink.traces])
    order = np.argsort(boxes[:, 0] + boxes[:, 2], kind="stable")
    boxes = boxes[order]
    costs = np.full((len(letters) + 1, count + 1), np.inf)
    costs[0, 0] = 0.0
    begun = np.zeros((len(letters) + 1, count + 1), dtype=int)
    for place, letter in enumerate(letters):
        ways = [len(formation.strokes) for formation in letter.accepted(hand)]
        most = max(ways) + WORD_WEIGHTS.more
        last = place == len(letters) - 1
        for first in range(place, count):
            if not np.isfinite(costs[place, first]):
                continue
            end = count if last else min(count, first + most)
            for behind in range(count if last else first + 1, end + 1):
                cost = costs[place, first] + _cost(boxes[first:behind], letter, ways)
                if cost < costs[place + 1, behind]:
                    costs[place + 1, behind], begun[place + 1, behind] = cost, first
    parts = []
    behind = count
    for place in range(len(letters), 0, -1):
        first = int(begun[place, behind]) if place > 1 else 0
        parts.append(tuple(sorted(int(number) for number in order[first:behind])))
        behind = first
    return tuple(reversed(parts))


def _cost(boxes: np.ndarray, letter: Letter, ways: Sequence[int]) -> float:
    """What it costs to read the traces in these boxes as this letter."""
    left, top = boxes[:, :2].min(axis=0)
    right, bottom = boxes[:, 2:].max(axis=0)
    model_left, model_top, model_right, model_bottom = letter.taught.bounds
    off = abs(top - model_top) + abs(bottom - model_bottom)
    wide = abs((right - left) - (model_right - model_left))
    traces = min(abs(len(boxes) - way) for way in ways)
    return float(WORD_WEIGHTS.height * off + WORD_WEIGHTS.width * wide + WORD_WEIGHTS.trace * traces)
