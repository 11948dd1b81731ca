"""What the ink may be instead: the letter's mirror image, or another letter.

Another letter is one of the same set, as only size or place tells many letters of two sets apart; between
guide lines also the one of the other case, where the shapes of the two differ. Ink that is plainly a letter
of another set is told to be none. Both are told by ratios: how far the ink is from what it may be, as a share
of how far it is from the letter, to the eye or along the pen's path. Each ratio counts below a bound of its
own and below the tolerance.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from functools import lru_cache
from itertools import takewhile

import numpy as np

from strokes.checks.measures import Measure, first_found
from strokes.ink import Ink
from strokes.kinds import Kind
from strokes.letter import Formation, GuideLines, Hand, Letter, is_other_case
from strokes.matching import Explanation, explain
from strokes.polyline import Polyline, resample
from strokes.recognition import apart, look, nearer, rank
from strokes.report import Finding
from strokes.tolerances import Tolerances
from strokes.transform import Transform
from strokes.weights import WEIGHTS

MIRROR = Transform(scale_x=-1.0)
"""Left and right are exchanged."""


def confusions(
    ink: Ink,
    letter: Letter,
    explanation: Explanation,
    guide: GuideLines | None,
    hand: Hand | None,
    tolerances: Tolerances,
) -> list[Finding]:
    """The mirror image, or another letter, explains the ink clearly better."""
    reversal = first_found(mirror_ratios(ink, letter, explanation, hand), tolerances)
    other = first_found(letter_ratios(ink, letter, explanation, guide, hand), tolerances)
    if other and (
        (reversal and _plainly_mirrored(ink, letter, str(other.letter)))
        or _is_elsewhere(ink, letter, str(other.letter))
    ):
        other = None
    return [finding for finding in (reversal, other) if finding]


def mirror_ratios(ink: Ink, letter: Letter, explanation: Explanation, hand: Hand | None) -> Iterator[Measure]:
    """How near the ink is to the mirror image of the letter, where that can be told from the letter."""
    own = _own_cost(letter, explanation)
    if own is None or not has_mirror_image(letter):
        return
    looked = _mirrored_look(ink, letter) / max(look(ink, letter), 1e-9)
    if looked < WEIGHTS.clear:
        yield _ratio(Kind.REVERSAL, looked)
    elif looked < WEIGHTS.clearer or own >= WEIGHTS.unlike_cost:
        explanations = explain(ink.transformed(MIRROR), _likely(letter, len(ink), hand))
        followed = min(explained.cost for explained in explanations) / own
        if looked < WEIGHTS.clearer or followed < WEIGHTS.clearly_written:
            yield _ratio(Kind.REVERSAL, followed)


def named_case(letter: Letter) -> Letter | None:
    """The letter of the other case, where a check may name it; None where only size tells them apart."""
    case = letter.other_case
    return case if case is not None and apart(letter, case) >= WEIGHTS.other_case else None


def _others(ink: Ink, letter: Letter, guide: GuideLines | None) -> tuple[Letter, ...]:
    """The letters that ink for this one may be told to be.

    The one of the other case is among them where the ink lies between the lines as that one does: an m as
    tall as an M is a round M.
    """
    case = named_case(letter)
    if guide is None or case is None:
        return letter.others
    lines = guide.to_letter_space().apply(np.array(ink.bounds).reshape(2, 2))[:, 1]
    to_own, to_case = (abs(lines - np.array(other.taught.bounds)[[1, 3]]).sum() for other in (letter, case))
    return letter.others if to_own + WEIGHTS.same_lines < to_case else (*letter.others, case)


def letter_ratios(
    ink: Ink, letter: Letter, explanation: Explanation, guide: GuideLines | None, hand: Hand | None
) -> Iterator[Measure]:
    """How near the ink is to the other letter that explains it best, and to the one it looks like most."""
    own = _own_cost(letter, explanation)
    if own is None:
        return
    closer, distance = nearer(ink, letter, _others(ink, letter, guide))
    if not closer:
        return
    closest = [match.letter for match in closer[: WEIGHTS.others_asked]]
    asked = [(other.name, formation) for other in closest for formation in _likely(other, len(ink), hand)]
    explanations = explain(ink, [formation for _, formation in asked])
    costs = {other.name: np.inf for other in closest}
    for (name, _), explained in zip(asked, explanations, strict=True):
        costs[name] = min(costs[name], explained.cost)
    for name in sorted(costs, key=lambda other: costs[other]):
        if costs[name] < WEIGHTS.fair_cost or costs[name] < WEIGHTS.fair_share * own:
            yield _ratio(Kind.LETTER, costs[name] / own, letter=name, limit=_limit(letter, name))
    nearest = closer[0]
    looked = nearest.distance / distance
    if nearest.distance < WEIGHTS.fair_look:
        if own > WEIGHTS.unlike_cost:
            limit = _limit(letter, nearest.letter.name)
            yield _ratio(Kind.LETTER, looked, letter=nearest.letter.name, limit=limit)
        elif looked < WEIGHTS.clear:
            yield _ratio(Kind.LETTER, looked, letter=nearest.letter.name, limit=WEIGHTS.clear)


def _limit(letter: Letter, name: str) -> float | None:
    """The bound below which ink is the letter of that name; None where the tolerance alone is one."""
    return WEIGHTS.other_case_share if is_other_case(letter.name, name) else None


def _ratio(kind: Kind, share: float, *, letter: str | None = None, limit: float | None = None) -> Measure:
    return Measure(kind=kind, tolerance=kind.value, amount=share, least=True, letter=letter, limit=limit)


def _own_cost(letter: Letter, explanation: Explanation) -> float | None:
    """What the ink costs as the letter itself; None where it is plainly that and nothing else is asked."""
    own = explanation.cost
    if explanation.lacks <= WEIGHTS.mostly_there:  # what is missing is found as that, not as another letter
        own -= WEIGHTS.missing_cost * len(explanation.missing)
    whole_variant = explanation.formation is not letter.taught and not explanation.missing
    return None if own < (WEIGHTS.good_variant_cost if whole_variant else WEIGHTS.good_cost) else own


def _plainly_mirrored(ink: Ink, letter: Letter, name: str) -> bool:
    """Whether the ink looks clearly nearer to the letter's mirror image than to the other of that name.

    A mirrored e has something of an s. A b for a d is as much the one as the other.
    """
    return _mirrored_look(ink, letter) < WEIGHTS.plainer * look(ink, _named(letter, name))


def _is_elsewhere(ink: Ink, letter: Letter, name: str) -> bool:
    """Whether the ink looks clearly nearer to a letter of another set than to the other of that name.

    An 8 in place of a B has something of an S, and is none; but a c is one however like a C.
    """
    if not letter.elsewhere:
        return False
    named = _named(letter, name)
    within = WEIGHTS.of_other_set * rank(ink, (named,))[0].distance
    nearest = takewhile(lambda match: match.distance < within, rank(ink, letter.elsewhere))
    return any(apart(named, match.letter) for match in nearest)


def _named(letter: Letter, name: str) -> Letter:
    """The letter that ink for this one is told to be."""
    known = (*letter.others, letter.other_case)
    return next(other for other in known if other is not None and other.name == name)


def _mirrored_look(ink: Ink, letter: Letter) -> float:
    return look(ink.transformed(MIRROR), letter)


def has_mirror_image(letter: Letter) -> bool:
    """Whether the mirror image of a letter is another drawing than the letter, to the eye."""
    return _faces(letter) >= WEIGHTS.lopsided


@lru_cache(maxsize=512)
def _faces(letter: Letter) -> float:
    """How far the letter is from its own mirror image to the eye; 0 for one that is its own mirror image.

    Samples lie otherwise on an H or M than on its mirror image, which alone would make it look lopsided.
    """
    line = np.concatenate([resample(stroke.path, 96) for stroke in letter.taught.strokes])
    if _symmetric(line) or _symmetric(_upright(line)):
        return 0.0
    ink = Ink.from_arrays([stroke.path for stroke in letter.taught.strokes])
    return _mirrored_look(ink, letter)


def _symmetric(line: Polyline) -> bool:
    """Whether every place of the line has one of its mirror image beside it."""
    left, right = line[:, 0].min(), line[:, 0].max()
    apart = line[:, None] - (line * (-1.0, 1.0) + (left + right, 0.0))
    return bool(np.hypot(apart[..., 0], apart[..., 1]).min(axis=1).max() < WEIGHTS.symmetric)


def _upright(line: Polyline) -> Polyline:
    """The line without its slant: the mirror image of a slanted stem is one that leans the other way."""
    x, y = (line - line.mean(axis=0)).T
    upright = float(y @ y)
    return np.column_stack([x - (x @ y) / upright * y, y]) if upright > 0 else line


def _likely(letter: Letter, count: int, hand: Hand | None) -> Sequence[Formation]:
    """The formations with as many strokes as there are traces; the taught one where there is none."""
    return [formation for formation in letter.accepted(hand) if len(formation.strokes) == count] or [
        letter.taught
    ]
