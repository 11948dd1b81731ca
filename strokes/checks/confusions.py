"""What the ink may be instead: the letter's mirror image, or another letter."""

from __future__ import annotations

from collections.abc import Sequence
from functools import lru_cache

import numpy as np

from strokes.ink import Ink
from strokes.kinds import Kind
from strokes.letter import Formation, Hand, Letter
from strokes.matching import MISSING_COST, Explanation, explain
from strokes.polyline import length
from strokes.recognition import look, nearer
from strokes.report import Finding
from strokes.tolerances import Tolerances
from strokes.transform import Transform

GOOD_COST = 0.03
"""Ink that costs less, 0.17 x-heights off, is the letter it was meant for: no rival is asked."""

SURE_COST = 0.006
"""The same, 0.08 x-heights off, for a whole formation other than the taught: a g that is nearly a q."""

CLEARER = 0.9
"""A mirror image must also look nearer than this share: an o or a w looks the same both ways."""

CLEAR = 0.4
"""Looking nearer than this share is enough: a b for a d need not have been formed as one or the other."""

LOPSIDED = 0.006
"""A letter that is nearer to its own mirror image, such as o or x, cannot be seen to be reversed."""

CLEARLY_WRITTEN = 0.35
"""Following the pen nearer than this share is enough for a mirror image that the eye hardly tells, an e."""

UNLIKE_COST = 0.08
"""Ink that costs less, 0.28 x-heights off, is not taken for another by its look, nor followed mirrored."""

ASKED = 3
"""So many letters that look nearer than the one asked for are judged as such."""

FAIR_COST = 0.12
"""Another letter must explain the ink this well to be named, or be twice as near: a scribble is no letter."""

FAIR_LOOK = 0.1
"""Ink must look this near to another letter to be taken for it by its look, however it was written."""

PLAINER = 0.75
"""Ink that looks nearer than this share to the mirror image is that, and no other letter as well."""

MIRROR = Transform(scale_x=-1.0)
"""Left and right are exchanged."""


def rivals(
    ink: Ink, letter: Letter, explanation: Explanation, hand: Hand | None, tolerances: Tolerances
) -> list[Finding]:
    """The mirror image, or another letter, explains the ink clearly better."""
    own = explanation.cost
    if _mostly_there(explanation):  # what is missing is told as that and makes it no other letter
        own -= MISSING_COST * len(explanation.missing)
    whole_variant = explanation.formation is not letter.taught and not explanation.missing
    if own < (SURE_COST if whole_variant else GOOD_COST):
        return []
    reversal = _mirror_image(ink, letter, own, hand, tolerances)
    other = _rival(ink, letter, own, hand, tolerances)
    if reversal and other and _plainly_mirrored(ink, letter, str(other[0].letter)):
        other = []
    return [*reversal, *other]


def _plainly_mirrored(ink: Ink, letter: Letter, name: str) -> bool:
    """Whether the ink looks clearly nearer to the letter's mirror image than to the other of that name.

    A mirrored e has something of an s. A b for a d is as much the one as the other.
    """
    (other,) = (one for one in letter.others if one.name == name)
    return _mirrored_look(ink, letter) < PLAINER * look(ink, other)


def _mirrored_look(ink: Ink, letter: Letter) -> float:
    return look(ink.transformed(MIRROR), letter)


def _mirror_image(
    ink: Ink, letter: Letter, own: float, hand: Hand | None, tolerances: Tolerances
) -> list[Finding]:
    if _faces(letter) < LOPSIDED:
        return []
    share = _mirrored_look(ink, letter) / max(look(ink, letter), 1e-9)
    if share >= CLEARER and own < UNLIKE_COST:
        return []
    if share >= CLEAR:
        limit = tolerances.reversal if share < CLEARER else CLEARLY_WRITTEN
        told = explain(ink.transformed(MIRROR), _likely(letter, len(ink), hand))
        share = min(one.cost for one in told) / own
        if share >= limit:
            return []
    return [Finding(Kind.REVERSAL, share, tolerances.reversal)] if share < tolerances.reversal else []


@lru_cache(maxsize=512)
def _faces(letter: Letter) -> float:
    """How far the letter is from its own mirror image to the eye."""
    ink = Ink.from_arrays([stroke.path for stroke in letter.taught.strokes])
    return _mirrored_look(ink, letter)


def _rival(ink: Ink, letter: Letter, own: float, hand: Hand | None, tolerances: Tolerances) -> list[Finding]:
    closer, distance = nearer(ink, letter, letter.others)
    if not closer:
        return []
    others = [one.letter for one in closer[:ASKED]]
    costs = dict.fromkeys((one.name for one in others), np.inf)
    asked = [(one.name, formation) for one in others for formation in _likely(one, len(ink), hand)]
    told = explain(ink, [formation for _, formation in asked])
    for (name, _), one in zip(asked, told, strict=True):
        costs[name] = min(costs[name], one.cost)
    name = min(costs, key=lambda rival: costs[rival])
    fair = costs[name] < FAIR_COST or costs[name] < own / 2
    if fair and costs[name] < tolerances.letter * own:
        return [Finding(Kind.LETTER, costs[name] / own, tolerances.letter, letter=name)]
    share = closer[0].distance / distance
    limit = tolerances.letter if own > UNLIKE_COST else CLEAR
    if closer[0].distance < FAIR_LOOK and share < limit:
        return [Finding(Kind.LETTER, share, limit, letter=closer[0].letter.name)]
    return []


def _likely(letter: Letter, count: int, hand: Hand | None) -> Sequence[Formation]:
    """The formations with as many strokes as there are traces; the taught one where there is none."""
    return [one for one in letter.accepted(hand) if len(one.strokes) == count] or [letter.taught]


def _mostly_there(explanation: Explanation) -> bool:
    spans = [length(stroke.path) for stroke in explanation.formation.strokes]
    return sum(spans[k] for k in explanation.missing) <= sum(spans) / 2
