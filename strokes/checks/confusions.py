"""What the ink may be instead: the letter's mirror image, or another letter."""

from __future__ import annotations

from collections.abc import Sequence
from functools import lru_cache

import numpy as np

from strokes.ink import Ink
from strokes.kinds import Kind
from strokes.letter import Formation, Hand, Letter
from strokes.matching import Explanation, explain
from strokes.polyline import length
from strokes.recognition import look, nearer
from strokes.report import Finding
from strokes.tolerances import Tolerances
from strokes.transform import Transform
from strokes.weights import WEIGHTS

MIRROR = Transform(scale_x=-1.0)
"""Left and right are exchanged."""


def rivals(
    ink: Ink, letter: Letter, explanation: Explanation, hand: Hand | None, tolerances: Tolerances
) -> list[Finding]:
    """The mirror image, or another letter, explains the ink clearly better."""
    own = explanation.cost
    if _mostly_there(explanation):  # what is missing is told as that and makes it no other letter
        own -= WEIGHTS.missing_cost * len(explanation.missing)
    whole_variant = explanation.formation is not letter.taught and not explanation.missing
    if own < (WEIGHTS.good_variant_cost if whole_variant else WEIGHTS.good_cost):
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
    return _mirrored_look(ink, letter) < WEIGHTS.plainer * look(ink, other)


def _mirrored_look(ink: Ink, letter: Letter) -> float:
    return look(ink.transformed(MIRROR), letter)


def _mirror_image(
    ink: Ink, letter: Letter, own: float, hand: Hand | None, tolerances: Tolerances
) -> list[Finding]:
    if _faces(letter) < WEIGHTS.lopsided:
        return []
    share = _mirrored_look(ink, letter) / max(look(ink, letter), 1e-9)
    if share >= WEIGHTS.clearer and own < WEIGHTS.unlike_cost:
        return []
    if share >= WEIGHTS.clear:
        limit = tolerances.reversal if share < WEIGHTS.clearer else WEIGHTS.clearly_written
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
    others = [one.letter for one in closer[: WEIGHTS.others_asked]]
    costs = dict.fromkeys((one.name for one in others), np.inf)
    asked = [(one.name, formation) for one in others for formation in _likely(one, len(ink), hand)]
    told = explain(ink, [formation for _, formation in asked])
    for (name, _), one in zip(asked, told, strict=True):
        costs[name] = min(costs[name], one.cost)
    name = min(costs, key=lambda rival: costs[rival])
    fair = costs[name] < WEIGHTS.fair_cost or costs[name] < WEIGHTS.fair_share * own
    if fair and costs[name] < tolerances.letter * own:
        return [Finding(Kind.LETTER, costs[name] / own, tolerances.letter, letter=name)]
    share = closer[0].distance / distance
    limit = tolerances.letter if own > WEIGHTS.unlike_cost else WEIGHTS.clear
    if closer[0].distance < WEIGHTS.fair_look and share < limit:
        return [Finding(Kind.LETTER, share, limit, letter=closer[0].letter.name)]
    return []


def _likely(letter: Letter, count: int, hand: Hand | None) -> Sequence[Formation]:
    """The formations with as many strokes as there are traces; the taught one where there is none."""
    return [one for one in letter.accepted(hand) if len(one.strokes) == count] or [letter.taught]


def _mostly_there(explanation: Explanation) -> bool:
    spans = [length(stroke.path) for stroke in explanation.formation.strokes]
    return sum(spans[k] for k in explanation.missing) <= WEIGHTS.mostly_there * sum(spans)
