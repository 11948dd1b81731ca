"""Size, base line and spacing over a word: measured, and held against the tolerances."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from hashlib import sha256
from itertools import pairwise

import numpy as np

from strokes.checks import VERSION, Lie, checks_version, lie
from strokes.errors import InkError
from strokes.ink import Ink
from strokes.kinds import WordKind
from strokes.letter import GuideLines, Hand, Letter
from strokes.report import WordFinding
from strokes.spacing import Sides, nearest, sides, space
from strokes.words.split import split
from strokes.words.tolerances import WORD_WEIGHTS, WordTolerances

_ORDER = list(WordKind)


@dataclass(frozen=True)
class WordReport:
    """What is to be seen in a word on one line: findings in teaching order, the worst of each kind.

    `traces` are those of each letter; none where letters were run together so that they cannot be told apart.
    """

    findings: tuple[WordFinding, ...]
    traces: tuple[tuple[int, ...], ...] = ()


def check_word(
    ink: Ink,
    letters: Sequence[Letter],
    *,
    guide: GuideLines,
    hand: Hand | None = None,
    tolerances: WordTolerances | None = None,
) -> WordReport:
    """What is to be seen in `ink`, a word of these letters between lines, in letter space.

    `guide` are the alphabet's lines. Raises InkError for no ink and for ink that cannot be judged.
    """
    tolerances = tolerances or WordTolerances()
    if not letters:
        raise InkError("a word must have at least one letter, not none")
    traces = split(ink, letters, hand)
    if traces is None:
        return WordReport(
            (WordFinding(WordKind.TOUCHING, 0.0, tolerances.touching, _joined(ink, len(letters))),)
        )
    inks = [Ink(tuple(ink.traces[number] for number in own)) for own in traces]
    lies = [lie(own, letter, guide=guide, hand=hand) for own, letter in zip(inks, letters, strict=True)]
    drawn = [sides([trace.points for trace in own.traces], guide) for own in inks]
    findings = [
        *_touching(drawn, tolerances),
        *_base_line(lies, tolerances),
        *_sizes(lies, tolerances),
        *_spacing(drawn, tolerances),
    ]
    return WordReport(tuple(sorted(findings, key=lambda finding: _ORDER.index(finding.kind))), traces)


def word_checks_version(
    letters: Sequence[Letter],
    *,
    guide: GuideLines,
    hand: Hand | None = None,
    tolerances: WordTolerances | None = None,
) -> str:
    """The version by which `check_word` judges a word of these letters now: a day and a digest."""
    digest = sha256(repr((tolerances or WordTolerances(), WORD_WEIGHTS)).encode())
    for letter in letters:
        digest.update(checks_version(letter, guide=guide, hand=hand).encode())
    return f"{VERSION}:{digest.hexdigest()[:12]}"


def _touching(drawn: Sequence[Sides], tolerances: WordTolerances) -> Iterator[WordFinding]:
    gaps = [nearest(before, after) for before, after in pairwise(drawn)]
    if gaps and min(gaps) < tolerances.touching:
        place = int(np.argmin(gaps))
        yield WordFinding(WordKind.TOUCHING, gaps[place], tolerances.touching, place)


def _base_line(lies: Sequence[Lie], tolerances: WordTolerances) -> Iterator[WordFinding]:
    place = max(range(len(lies)), key=lambda k: abs(lies[k].offset))
    if abs(lies[place].offset) > tolerances.base_line:
        yield WordFinding(WordKind.BASE_LINE, lies[place].offset, tolerances.base_line, place)


def _sizes(lies: Sequence[Lie], tolerances: WordTolerances) -> Iterator[WordFinding]:
    """The letters that end at the x-height among themselves, and the ascenders above them."""
    low = [k for k, own in enumerate(lies) if own.low]
    median = float(np.median([lies[k].body for k in low])) if low else 1.0
    if median <= 0:
        return  # a row of dashes: there is no size to hold anything against
    place = max(low, key=lambda k: abs(lies[k].body / median - 1), default=None)
    if place is not None and abs(lies[place].body / median - 1) > tolerances.size:
        yield WordFinding(WordKind.SIZE, lies[place].body / median, tolerances.size, place)
    shares = {k: (own.top / median - 1) / (own.model_top - 1) for k, own in enumerate(lies) if own.ascends}
    lowest = min(shares, key=lambda k: shares[k], default=None)
    if lowest is not None and shares[lowest] < tolerances.ascender:
        yield WordFinding(WordKind.ASCENDER, shares[lowest], tolerances.ascender, lowest)


def _spacing(drawn: Sequence[Sides], tolerances: WordTolerances) -> Iterator[WordFinding]:
    """The space that is farthest off the median; or one that is too wide for a word, where all are."""
    spaces = [space(before, after) for before, after in pairwise(drawn)]
    if not spaces:
        return
    median = float(np.median(spaces))
    place = max(range(len(spaces)), key=lambda k: abs(spaces[k] - median))
    if abs(spaces[place] - median) > tolerances.spacing:
        yield WordFinding(WordKind.SPACING, spaces[place] - median, tolerances.spacing, place)
    elif max(spaces) > tolerances.apart:
        place = int(np.argmax(spaces))
        yield WordFinding(WordKind.SPACING, spaces[place], tolerances.apart, place)


def _joined(ink: Ink, count: int) -> int:
    """About which letter the widest trace begins with, where there are fewer traces than letters."""
    left, _, right, _ = ink.bounds
    widest = max(ink.traces, key=lambda trace: float(np.ptp(trace.points[:, 0])))
    share = (float(widest.points[:, 0].min()) - left) / max(right - left, 1e-9)
    return min(int(share * count), max(count - 2, 0))
