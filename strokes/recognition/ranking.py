"""Which letter does this ink look like: nearest of all drawn models, nothing trained.

The models of a letter are its formations and the shapes it is only recognized by. Three distances are added.
Looking: how far each sample of the one drawing is from the nearest of the other, in whatever order it was
written. Following: warping along the pen's path, positions and headings, as it was written. And following
again in the order and direction of traces that suits the model best, so that a letter formed otherwise is
still read.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import lru_cache

import numpy as np
from numpy.typing import NDArray

from strokes.alphabet import Alphabet
from strokes.errors import InkError
from strokes.framing import framed
from strokes.ink import Ink
from strokes.letter import Formation, Letter
from strokes.matching import SAMPLES
from strokes.polyline import Floats
from strokes.recognition.appearance import InkImage, Models, ink_image
from strokes.warping import distances, table
from strokes.weights import WEIGHTS

MANY_ARRANGEMENTS = 48
"""With so many arrangements of the traces of ink it is worth while to ask first which can be near."""


@dataclass(frozen=True)
class Match:
    """A letter and its distance: the mean squared distance a sample, the letter's size being 1."""

    letter: Letter
    distance: float


def identify(ink: Ink, alphabet: Alphabet) -> list[Match]:
    """The letters of `alphabet`, nearest first. Place and size of the ink do not matter.

    Raises InkError for ink that cannot be judged (`framing`): none, or too much.
    """
    return rank(framed(ink).ink, alphabet.letters)


def rank(ink: Ink, letters: Sequence[Letter]) -> list[Match]:
    """These letters, nearest first; letters at one distance keep their order."""
    models, first = _models(tuple(letters))
    nearest = np.minimum.reduceat(_apart(_drawn(ink), models), first)
    matches = [Match(letter, float(far)) for letter, far in zip(letters, nearest, strict=True)]
    return sorted(matches, key=lambda match: match.distance)


def nearer(ink: Ink, letter: Letter, others: Sequence[Letter]) -> tuple[list[Match], float]:
    """Those of `others` that are nearer than `letter`, nearest first, and how far `letter` is.

    As `rank` tells it, with less work: a model that already looks farther than `letter` is with everything
    added need not be followed.
    """
    letters = (letter, *others)
    models, first = _models(letters)
    drawn = _drawn(ink)
    looked = models.look(drawn.samples)
    asked = _asked(looked)
    own = asked[asked < len(_samples(letter))]
    if not len(own):  # it is taken to be as far as the worst that is followed
        ranked = rank(ink, letters)
        place = [match.letter for match in ranked].index(letter)
        return ranked[:place], ranked[place].distance
    reach = float(_within(drawn, models, own, looked).min())
    total = np.full(len(looked), np.inf)
    close = asked[looked[asked] < reach]
    if len(close):
        total[close] = _within(drawn, models, close, looked, reach)
    nearest = np.minimum.reduceat(total, first).tolist()
    matches = [Match(other, far) for other, far in zip(others, nearest[1:], strict=True) if far < reach]
    return sorted(matches, key=lambda match: match.distance), reach


@lru_cache(maxsize=512)
def apart(letter: Letter, other: Letter) -> float:
    """How far the nearest formations of two letters are from each other to the eye alone.

    It is 0 where one of them is read from the other's own drawing as well, as many adults write a K for a k.
    """
    read = (
        look(Ink.from_arrays([stroke.path for stroke in a.taught.strokes]), b)
        for a, b in ((letter, other), (other, letter))
    )
    if min(read) < WEIGHTS.same_look:
        return 0.0
    drawn = Models(_samples(letter)[: len(letter.formations)])
    return min(float(drawn.look(samples).min()) for samples in _samples(other)[: len(other.formations)])


def look(ink: Ink, letter: Letter) -> float:
    """How far the ink is from the letter to the eye alone, however the pen went."""
    models, _ = _models((letter,))
    return float(models.look(_drawn(ink).samples).min())


def _drawn(ink: Ink) -> InkImage:
    if not len(ink):
        raise InkError("ink must have at least one trace, not none")
    return ink_image([trace.points for trace in ink.traces])


def _apart(drawn: InkImage, models: Models) -> Floats:
    """The distance of the ink from each model: (models,)."""
    looked = models.look(drawn.samples)
    asked = _asked(looked)
    followed = _followed(drawn, models, asked)
    total: Floats = looked + followed.max()
    total[asked] = looked[asked] + followed
    return total


def _asked(looked: Floats) -> NDArray[np.intp]:
    return np.argsort(looked, kind="stable")[: WEIGHTS.look_models_followed]


def _followed(drawn: InkImage, models: Models, asked: NDArray[np.intp]) -> Floats:
    """How far the ink is from these models along the pen's path: (asked,)."""
    costs = table(drawn.arrangements, models.samples[asked]) / SAMPLES
    followed: Floats = WEIGHTS.look_followed * costs[0] + WEIGHTS.look_arranged * costs.min(axis=0)
    return followed


def _within(
    drawn: InkImage, models: Models, asked: NDArray[np.intp], looked: Floats, reach: float | None = None
) -> Floats:
    """How far the ink is from these models with everything added, where that is less than `reach`; else more.

    Without `reach` only the nearest one has to be exact. Three traces have 48 arrangements,
    and most of them cannot be the nearest: these are not followed.
    """
    if len(drawn.arrangements) < MANY_ARRANGEMENTS:
        return looked[asked] + _followed(drawn, models, asked)
    samples, every = models.samples[asked], np.arange(len(asked))
    least = drawn.at_least(samples) / SAMPLES

    def costs(arranged: NDArray[np.intp], which: NDArray[np.intp]) -> Floats:
        return distances(drawn.arrangements, samples, which=(arranged, which)) / SAMPLES

    written = costs(np.zeros_like(every), every)
    as_written = looked[asked] + WEIGHTS.look_followed * written
    nearest = np.minimum(written, costs(least.argmin(axis=0), every))
    if reach is None:
        reach = float((as_written + WEIGHTS.look_arranged * nearest).min())
    arranged, which = np.nonzero((least < nearest) & (as_written + WEIGHTS.look_arranged * least < reach))
    if len(arranged):
        np.minimum.at(nearest, which, costs(arranged, which))
    return as_written + WEIGHTS.look_arranged * nearest


@lru_cache(maxsize=128)
def _models(letters: tuple[Letter, ...]) -> tuple[Models, NDArray[np.intp]]:
    """All models of these letters, and for each letter which is its first."""
    each = [_samples(letter) for letter in letters]
    return Models(np.concatenate(each)), np.cumsum([0, *(len(samples) for samples in each[:-1])])


def _samples(letter: Letter) -> Floats:
    """All formations of a letter, and what it is only recognized by: (models, SAMPLES, 4)."""
    return _sampled((*letter.formations, *letter.recognized))


@lru_cache(maxsize=512)
def _sampled(every: tuple[Formation, ...]) -> Floats:
    """Of a letter alone or in an alphabet: it has the same formations in both."""
    return np.stack([ink_image([stroke.path for stroke in formation.strokes]).samples for formation in every])
