"""Which letter does this ink look like: nearest of all drawn models, nothing trained.

Two distances are added. Warping follows the pen: positions and headings in the order they were written. The
second one only looks: how far each sample of the one drawing is from the nearest of the other, so that a
letter written in another order or direction is still read.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from functools import lru_cache

import numpy as np

from strokes.errors import InkError
from strokes.ink import Ink
from strokes.letter import Alphabet, Letter
from strokes.matching import run_line, weigh_headings
from strokes.polyline import Floats, Polyline
from strokes.warping import Lines, distances

HEADING = 0.25
"""What a unit of heading weighs against the size of the letter."""


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
    drawn = _normalized([trace.points for trace in ink.traces])
    models = [_models(letter) for letter in letters]
    every: Lines = np.concatenate(models)
    followed = distances(np.broadcast_to(drawn, every.shape), every) / drawn.shape[0]
    apart = followed + _seen(drawn, every)
    first = np.cumsum([0, *(len(one) for one in models[:-1])])
    nearest = np.minimum.reduceat(apart, first)
    found = [Match(letter, float(one)) for letter, one in zip(letters, nearest, strict=True)]
    return sorted(found, key=lambda match: match.distance)


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


def _seen(drawn: Floats, models: Lines) -> Floats:
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
