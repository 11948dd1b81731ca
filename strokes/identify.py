"""Which letter does this ink look like: nearest of all drawn models, nothing trained.

Three distances are added. Looking: how far each sample of the one drawing is from the nearest of the other,
in whatever order it was written. Following: warping along the pen's way, positions and headings, as it was
written. And following again in the order and direction of traces that suits the model best, so that a
letter formed otherwise is still read.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from functools import lru_cache
from itertools import permutations, product

import numpy as np

from strokes.errors import InkError
from strokes.ink import Ink
from strokes.letter import Alphabet, Letter
from strokes.polyline import Floats, Polyline
from strokes.samples import run_line, weigh_headings
from strokes.warping import Lines, distances

HEADING = 0.25
"""What a unit of heading weighs against the size of the letter."""

FOLLOWED, ARRANGED = 0.1, 0.4
"""What following weighs against looking, as written and rearranged. Weights by trial on real ink."""

MOST_ARRANGED = 3
"""With more traces than this only the way they were written is followed: 3 can be arranged in 48 ways."""

ASKED = 16
"""Models that look nearest are followed in every arrangement; for the others the written one must do."""


@dataclass(frozen=True)
class Match:
    """A letter and its distance: the mean squared distance a sample, the letter's size being 1."""

    letter: Letter
    distance: float


def identify(ink: Ink, alphabet: Alphabet) -> list[Match]:
    """The letters of `alphabet`, nearest first. Place and size of the ink do not matter.

    Raises InkError when there is no ink.
    """
    return rank(ink, alphabet.letters)


def rank(ink: Ink, letters: Sequence[Letter]) -> list[Match]:
    """These letters, nearest first; letters at one distance keep their order."""
    if not len(ink):
        raise InkError("ink must have at least one trace, not none")
    lines = [trace.points for trace in ink.traces]
    models = [_models(letter) for letter in letters]
    every: Lines = np.concatenate(models)
    apart = _apart(lines, every)
    first = np.cumsum([0, *(len(one) for one in models[:-1])])
    nearest = np.minimum.reduceat(apart, first)
    found = [Match(letter, float(one)) for letter, one in zip(letters, nearest, strict=True)]
    return sorted(found, key=lambda match: match.distance)


def _apart(lines: Sequence[Polyline], models: Lines) -> Floats:
    """The distance of the ink from each model: (models,)."""
    drawn = _normalized(lines)
    looked = seen(drawn, models)
    followed = _followed(drawn[None], models)[0]
    arranged = followed.copy()
    if len(lines) <= MOST_ARRANGED:
        asked = np.argsort(FOLLOWED * followed + looked, kind="stable")[:ASKED]
        ways = np.stack([_normalized(way) for way in _arrangements(lines)])
        arranged[asked] = _followed(ways, models[asked]).min(axis=0)
    total: Floats = looked + FOLLOWED * followed + ARRANGED * arranged
    return total


def _arrangements(lines: Sequence[Polyline]) -> Iterator[list[Polyline]]:
    """The traces in every order, each forwards and backwards."""
    for order in permutations(lines):
        for signs in product((1, -1), repeat=len(lines)):
            yield [line[::sign] for line, sign in zip(order, signs, strict=True)]


def _followed(drawn: Lines, models: Lines) -> Floats:
    """Warping cost a sample of each drawing on each model: (drawings, models)."""
    shape = (len(drawn), len(models), *models.shape[1:])
    first = np.broadcast_to(drawn[:, None], shape).reshape(-1, *shape[2:])
    second = np.broadcast_to(models[None], shape).reshape(-1, *shape[2:])
    costs: Floats = distances(first, second).reshape(shape[:2]) / shape[2]
    return costs


def look(ink: Ink, letter: Letter) -> float:
    """How far the ink is from the letter to the eye alone, whatever way the pen took."""
    return float(seen(_normalized([trace.points for trace in ink.traces]), _models(letter)).min())


@lru_cache(maxsize=512)
def _models(letter: Letter) -> Lines:
    """All formations of a letter, (formations, SAMPLES, 4)."""
    return np.stack([_normalized([stroke.path for stroke in one.strokes]) for one in letter.formations])


def _normalized(lines: Iterable[Polyline]) -> Floats:
    """One line through all traces with its headings, centered, the diagonal of its box 1."""
    line = run_line(list(lines), by_length=True)
    low, high = line.min(axis=0), line.max(axis=0)
    size = float(np.hypot(*(high - low)))
    return weigh_headings((line - (low + high) / 2) / (size if size > 0 else 1.0), HEADING)


def seen(drawn: Floats, models: Lines) -> Floats:
    """Mean squared distance to the nearest sample of the other, both ways, headings without their sense."""
    a, b = _undirected(drawn), _undirected(models)
    product = np.tensordot(b, a, axes=([2], [1]))
    apart = (b**2).sum(axis=2)[:, :, None] + (a**2).sum(axis=1)[None, None, :] - 2 * product
    both: Floats = (apart.min(axis=2).mean(axis=1) + apart.min(axis=1).mean(axis=1)) / 2
    return both


def _undirected(samples: Floats) -> Floats:
    """Headings with their angle doubled, so that a line and the same line run back are alike."""
    x, y = samples[..., 2] / HEADING, samples[..., 3] / HEADING
    doubled = HEADING * np.stack([x**2 - y**2, 2 * x * y], axis=-1)
    return np.concatenate([samples[..., :2], doubled], axis=-1)
