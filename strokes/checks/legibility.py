"""How a letter looks, whatever way the pen took: shape, closure, size and place."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from functools import lru_cache

import numpy as np

from strokes.checks.confusions import rivals
from strokes.ink import Ink
from strokes.kinds import Kind
from strokes.letter import Formation, GuideLines, Hand, Letter, Stroke
from strokes.matching import Aligned, Explanation
from strokes.polyline import Polyline, arc_lengths, cut, length, resample
from strokes.report import Finding
from strokes.tolerances import Tolerances
from strokes.weights import WEIGHTS

_ROUND = 0.95  # what is left of the width of a corridor whose round ends are drawn as polygons


def findings(
    ink: Ink,
    letter: Letter,
    explanation: Explanation,
    aligned: Sequence[Aligned],
    guide: GuideLines | None,
    hand: Hand | None,
    tolerances: Tolerances,
) -> list[Finding]:
    """All findings about the look of `ink`, explained by `explanation`."""
    found = [*rivals(ink, letter, explanation, hand, tolerances)]
    if not found:
        found += shape(explanation, aligned, tolerances)
    found += closure(explanation, aligned, tolerances)
    if guide is not None:
        found += size_and_place(ink, explanation, guide, tolerances)
    return found


def shape(explanation: Explanation, aligned: Sequence[Aligned], tolerances: Tolerances) -> list[Finding]:
    """The ink draws another shape: mean distance along it, and what lies outside the corridor."""
    found = strayed(explanation, aligned, tolerances)
    if found or not aligned or _surely_covered(explanation, aligned, tolerances):
        return found
    outside, bare = coverage(explanation, aligned, tolerances.corridor)
    worst = max(outside, bare)
    return [Finding(Kind.SHAPE, worst, tolerances.outside)] if worst > tolerances.outside else []


def strayed(explanation: Explanation, aligned: Sequence[Aligned], tolerances: Tolerances) -> list[Finding]:
    """Strokes that the pen left before their end, or drew as another line: the mean distance along them."""
    gaps = [(one, one.cost**0.5) for one in explanation.pairings]
    return [
        *_unfinished(explanation, aligned, tolerances),
        *(
            Finding(Kind.SHAPE, gap, tolerances.shape, one.strokes[0], one.traces[0])
            for one, gap in gaps
            if gap > tolerances.shape
        ),
    ]


def _unfinished(
    explanation: Explanation, aligned: Sequence[Aligned], tolerances: Tolerances
) -> Iterator[Finding]:
    """Strokes that the pen left before their end: the part that has no ink, as it is told."""
    for one in aligned:
        pairing, course = one.pairing, one.pairing.course
        stroke = explanation.formation.strokes[pairing.strokes[-1]]
        if stroke.is_dot or not course.in_order or min(course.signs) < 0:
            continue
        last = int(one.way[np.searchsorted(one.way[:, 0], len(one.drawn) - 1), 1])
        bare = length(course.samples[last:])
        if bare > tolerances.end:
            part = (float(course.places[last]) % 1.0 if last < len(course.places) - 1 else 1.0, 1.0)
            at = explanation.fit.back(one.drawn[-1])
            yield Finding(
                Kind.SHAPE,
                bare,
                tolerances.end,
                pairing.strokes[-1],
                pairing.traces[-1],
                part,
                (float(at[0]), float(at[1])),
            )


def _surely_covered(explanation: Explanation, aligned: Sequence[Aligned], tolerances: Tolerances) -> bool:
    """Whether `coverage` needs no exact answer: an estimate that never falls short is within bounds.

    No point of a segment is farther from the other lines than half of what its ends are, and its length.
    """
    drawn = [one.drawn for one in aligned]
    model = [_modeled(explanation.formation.strokes[k]) for one in aligned for k in one.pairing.strokes]
    apart = np.concatenate(drawn)[:, None] - np.concatenate(model)
    squares = np.einsum("ijk,ijk->ij", apart, apart)
    for lines, axis in ((drawn, 1), (model, 0)):
        nearest = np.sqrt(squares.min(axis=axis)).reshape(len(lines), -1)
        steps = np.diff(np.array(lines), axis=1)
        size = np.hypot(steps[..., 0], steps[..., 1])
        reach = (nearest[:, :-1] + nearest[:, 1:] + size) / 2
        if size[reach > _ROUND * tolerances.corridor].sum() > tolerances.outside * size.sum():
            return False
    return True


@lru_cache(maxsize=4096)
def _modeled(stroke: Stroke) -> Polyline:
    """A stroke as coverage sees it."""
    return resample(stroke.path, 48)


def coverage(explanation: Explanation, aligned: Sequence[Aligned], corridor: float) -> tuple[float, float]:
    """Share of the ink outside the corridor around the strokes, and share of the strokes with no ink near."""
    import shapely  # 0.08 s to import: not before a letter is judged

    drawn = shapely.multilinestrings([shapely.linestrings(one.drawn) for one in aligned])
    strokes = [explanation.formation.strokes[k] for one in aligned for k in one.pairing.strokes]
    model = shapely.multilinestrings([shapely.linestrings(_modeled(stroke)) for stroke in strokes])
    shares = []
    for line, around in ((drawn, model), (model, drawn)):
        room = shapely.buffer(around, corridor, quad_segs=4)
        total = float(shapely.length(line))
        shares.append(float(shapely.length(shapely.difference(line, room))) / total if total > 0 else 0.0)
    return shares[0], shares[1]


# --- closure ------------------------------------------------------------------------------------------


@lru_cache(maxsize=1024)
def touches(formation: Formation) -> tuple[tuple[int, int], ...]:
    """The ends that close a counter, as (stroke, 0 for its start or -1 for its end).

    An end closes a counter when there is one less without the last bit of the stroke; an end that lies on a
    retrace does not.
    """
    paths = [stroke.path for stroke in formation.strokes]
    whole = _counters(paths)
    found = []
    for index, path in enumerate(paths):
        total = length(path)
        bit = WEIGHTS.overshoot
        for end, piece in ((0, (bit, total)), (-1, (0.0, total - bit))):
            if (
                total > 2 * bit
                and _counters([*paths[:index], cut(path, *piece), *paths[index + 1 :]]) < whole
            ):
                found.append((index, end))
    return tuple(found)


def _counters(paths: Sequence[Polyline]) -> int:
    """How many areas the lines enclose, the small loops of a pen not counted."""
    import shapely

    lines = [shapely.linestrings(resample(path, 96)) for path in paths]
    drawn = shapely.unary_union([line.buffer(WEIGHTS.touch / 2, quad_segs=4) for line in lines])
    holes = [hole for part in shapely.get_parts(drawn) for hole in part.interiors]
    return sum(float(shapely.area(shapely.polygons(hole))) > WEIGHTS.counter for hole in holes)


def _end_gap(index: int, end: int, lines: Sequence[Polyline]) -> float:
    """How far the end of one line is from all other ink, its own line nearby excepted."""
    import shapely

    line = resample(lines[index], 96)[:: 1 if end == 0 else -1]
    far = line[arc_lengths(line) >= WEIGHTS.around]
    rest = [far, *(other for k, other in enumerate(lines) if k != index)]
    pieces = [shapely.linestrings(piece) for piece in rest if len(piece) > 1]
    near = shapely.linestrings(line[: max(2, int((arc_lengths(line) < WEIGHTS.overshoot).sum()))])
    if not pieces:  # a line too short to come back to itself
        return float(np.hypot(*(line[-1] - line[0])))
    return float(shapely.distance(near, shapely.multilinestrings(pieces)))


def closure(explanation: Explanation, aligned: Sequence[Aligned], tolerances: Tolerances) -> list[Finding]:
    """The ink leaves a gap where the model closes."""
    singles = [one for one in aligned if len(one.pairing.strokes) == len(one.pairing.traces) == 1]
    by_stroke = {one.pairing.strokes[0]: k for k, one in enumerate(singles)}
    drawn = [one.drawn for one in singles]
    for stroke, end in touches(explanation.formation):
        if stroke not in by_stroke:
            continue
        index = by_stroke[stroke]
        if all(sign < 0 for sign in singles[index].pairing.course.signs):
            end = -1 - end  # written from the other end
        gap = _end_gap(index, end, drawn)
        if gap > tolerances.closure:
            at = explanation.fit.back(drawn[index][end])
            return [
                Finding(
                    Kind.CLOSURE,
                    gap,
                    tolerances.closure,
                    stroke,
                    singles[index].pairing.traces[0],
                    at=(float(at[0]), float(at[1])),
                )
            ]
    return []


# --- size and place -----------------------------------------------------------------------------------


def size_and_place(
    ink: Ink, explanation: Explanation, guide: GuideLines, tolerances: Tolerances
) -> list[Finding]:
    """Height against the letter's own, ascender and descender, and the base line, between guide lines."""
    box = np.array(ink.bounds).reshape(2, 2)
    (_, top), (_, bottom) = guide.to_letter_space().apply(box).tolist()
    _, model_top, _, model_bottom = explanation.formation.bounds
    ratio = (bottom - top) / max(model_bottom - model_top, 1e-9)
    found = []
    limits = (tolerances.size_small, tolerances.size_large)
    offset = baseline(explanation, guide)
    sunk = offset if abs(offset) > tolerances.place else 0.0  # a letter that floats is not also too short
    passed = 1 + tolerances.reach * (guide.above - 1)
    tall = WEIGHTS.tall
    short_top = model_top < -(1 + tall * (guide.above - 1)) and top - sunk > -passed
    short_bottom = model_bottom > tall * guide.below and bottom - sunk < tolerances.reach * guide.below
    if not limits[0] <= ratio <= limits[1]:
        found.append(Finding(Kind.SIZE, ratio, limits[0] if ratio < limits[0] else limits[1]))
    elif short_top:
        found.append(Finding(Kind.SIZE, -top / -model_top, passed / -model_top))
    elif short_bottom:
        found.append(Finding(Kind.SIZE, bottom / model_bottom, tolerances.reach * guide.below / model_bottom))
    if abs(offset) > tolerances.place:
        found.append(Finding(Kind.PLACE, offset, tolerances.place))
    return found


def baseline(explanation: Explanation, guide: GuideLines) -> float:
    """Where the letter's own base line lies, in x-heights below the guide's."""
    own = explanation.fit.back(np.zeros((1, 2)))
    return float(guide.to_letter_space().apply(own)[0, 1])
