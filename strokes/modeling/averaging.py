"""Several tries at one formation as one: each stroke is the mean of its tries along the warping path.

Source: Petitjean, Ketterlin & Gançarski (2011), DTW barycenter averaging (from memory): every point of the
average is the mean of the points that warping puts with it, and that is done again with the new average.
"""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from strokes.errors import LetterError
from strokes.polyline import Floats, Polyline, length, resample, tangents
from strokes.warping import paths

ROUNDS = 4
"""Times that the average is taken anew; it hardly moves after three."""

HEADING = 0.25
"""In x-heights: what a right angle of heading counts as place, so that corners go with corners."""

ALIKE = 0.45
"""In x-heights: tries of one stroke are at most this far apart on average, or one is another stroke."""

TURNED = 0.1
"""In x-heights: a stroke that fits better by half the other way round, and is this far off, runs that way; a
crossbar of half an x-height is a quarter of one off."""

_SPACING = 0.025


def average(tries: Sequence[Sequence[Polyline]], numbers: Sequence[int] = ()) -> list[Polyline]:
    """The strokes (n, 2) of the average of tries at one letter, all in letter space, the strokes in order.

    Sideways each try is moved to where the first one stands; heights stay, as the guide lines give them. One
    try comes back as it is. `numbers` are those of the strokes in their letter, where it has more of them.
    Raises LetterError where a try has another number of strokes, a stroke that runs the other way, or one of
    another shape.
    """
    first = tries[0]
    for number, other in enumerate(tries[1:], 2):
        if len(other) != len(first):
            raise LetterError(
                f"every try must have as many strokes: try 1 has {len(first)}, try {number} has {len(other)}"
            )
    if len(tries) == 1:
        return [np.asarray(line) for line in first]
    moved = [first, *(_beside(first, other) for other in tries[1:])]
    named = numbers or range(1, len(first) + 1)
    return [_average(list(lines), number) for number, *lines in zip(named, *moved, strict=True)]


def _beside(first: Sequence[Polyline], other: Sequence[Polyline]) -> list[Polyline]:
    """A try moved sideways to the first one."""
    shift = np.mean(
        [resample(a, 64)[:, 0] - resample(b, 64)[:, 0] for a, b in zip(first, other, strict=True)]
    )
    return [line + np.array([shift, 0.0]) for line in other]


def _average(lines: Sequence[Polyline], number: int) -> Polyline:
    longest = max(map(length, lines))
    count = int(np.clip(longest / _SPACING, 16, 400))
    samples = [resample(line, count) for line in lines]
    for at, line in enumerate(samples[1:], 2):
        _same_way(samples[0], line, f"try {at}, stroke {number}")
    mean = samples[0]
    for _ in range(ROUNDS):
        total, weight = np.zeros_like(mean), np.zeros(len(mean))
        features = np.stack([_features(mean)] * len(samples))
        _, ways = paths(features, np.stack([_features(line) for line in samples]))
        for line, way in zip(samples, ways, strict=True):
            share = 1 / np.bincount(way[:, 0], minlength=count)[way[:, 0]]  # every try counts alike
            np.add.at(total, way[:, 0], line[way[:, 1]] * share[:, None])
            np.add.at(weight, way[:, 0], share)
        mean = total / weight[:, None]
    return mean


def _same_way(first: Polyline, line: Polyline, where: str) -> None:
    costs, _ = paths(np.stack([first, first]), np.stack([line, line[::-1]]))
    forward, backward = np.sqrt(costs / len(first))
    if forward > TURNED and backward < forward / 2:
        raise LetterError(f"{where} must run the way it runs in try 1, not the other way")
    if forward > ALIKE:
        raise LetterError(f"{where} must be like that of try 1, not {forward:.2f} x-heights away from it")


def _features(line: Polyline) -> Floats:
    return np.hstack([line, HEADING * tangents(line)])
