"""How a letter looks, however the pen went: shape and closure; size and place are in `extent`."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from functools import lru_cache

import numpy as np

from strokes.checks.confusions import confusions
from strokes.checks.extent import extent
from strokes.checks.measures import Measure, first_found, judged, place
from strokes.ink import Ink
from strokes.kinds import Kind
from strokes.letter import Formation, GuideLines, Hand, Letter, Stroke
from strokes.matching import Aligned, Explanation
from strokes.polyline import Floats, Polyline, arc_lengths, cut, length, resample
from strokes.report import Finding
from strokes.tolerances import Tolerances
from strokes.weights import WEIGHTS

_ROUND = 0.95  # what is left of the width of a corridor whose round ends are drawn as polygons


def findings(
    ink: Ink,
    letter: Letter,
    explanation: Explanation,
    aligned: Sequence[Aligned],
    strayed: list[Finding],
    guide: GuideLines | None,
    hand: Hand | None,
    tolerances: Tolerances,
) -> list[Finding]:
    """All findings about the look of `ink`, explained by `explanation`; `strayed` are those of `strays`."""
    all_findings = confusions(ink, letter, explanation, guide, hand, tolerances)
    if not all_findings:
        all_findings += shape(explanation, aligned, strayed, tolerances)
    gap = first_found(gaps(explanation, aligned, enough=tolerances.closure), tolerances)
    all_findings += [gap] if gap else []
    if guide is not None:
        all_findings += extent(ink, explanation, guide).findings(tolerances)
    return all_findings


def shape(
    explanation: Explanation, aligned: Sequence[Aligned], strayed: list[Finding], tolerances: Tolerances
) -> list[Finding]:
    """The ink draws another shape: where the pen strayed, or else what lies outside the corridor."""
    if strayed or not aligned or _surely_covered(explanation, aligned, tolerances):
        return strayed
    return judged([outside(explanation, aligned, tolerances.corridor)], tolerances)


def strays(explanation: Explanation, aligned: Sequence[Aligned]) -> list[Measure]:
    """What each stroke lacks at its end, and the mean distance between stroke and ink along it."""
    return [
        *_ends(explanation, aligned),
        *(
            Measure(
                kind=Kind.SHAPE,
                tolerance="shape",
                amount=pairing.cost**0.5,
                stroke=pairing.strokes[0],
                trace=pairing.traces[0],
            )
            for pairing in explanation.pairings
        ),
    ]


def _ends(explanation: Explanation, aligned: Sequence[Aligned]) -> Iterator[Measure]:
    """How much of the end of each stroke written as taught has no ink, in x-heights, and which part it is."""
    for laid in aligned:
        pairing, traversal = laid.pairing, laid.pairing.traversal
        stroke = explanation.formation.strokes[pairing.strokes[-1]]
        if stroke.is_dot or not traversal.in_order or min(traversal.signs) < 0:
            continue
        last = int(laid.path[laid.path[:, 0].searchsorted(len(laid.drawn) - 1), 1])
        yield Measure(
            kind=Kind.SHAPE,
            tolerance="end",
            amount=traversal.remaining[last],
            stroke=pairing.strokes[-1],
            trace=pairing.traces[-1],
            part=(float(traversal.places[last]) % 1.0 if last < len(traversal.places) - 1 else 1.0, 1.0),
            at=explanation.fit.back_at(*place(laid.drawn[-1])),
        )


def outside(explanation: Explanation, aligned: Sequence[Aligned], corridor: float) -> Measure:
    """The share of the ink outside the corridor, or of the strokes with no ink near: the larger one."""
    return Measure(kind=Kind.SHAPE, tolerance="outside", amount=max(coverage(explanation, aligned, corridor)))


def _surely_covered(explanation: Explanation, aligned: Sequence[Aligned], tolerances: Tolerances) -> bool:
    """Whether `coverage` needs no exact answer: an estimate that never falls short is within bounds.

    No point of a segment is farther from the other lines than half of what its ends are, and its length.
    """
    drawn = np.array([laid.drawn for laid in aligned])
    strokes = explanation.formation.strokes
    model, model_lengths = _all_modeled(tuple(strokes[k] for laid in aligned for k in laid.pairing.strokes))
    places = drawn.reshape(-1, 2)
    # Squares of the distances, a² - 2ab + b²: in less time, and to within a millionth of an x-height.
    squares = places @ (-2.0 * model.T)
    squares += np.add.reduce(model * model, axis=1)
    squares += np.add.reduce(places * places, axis=1)[:, None]
    for size, axis in ((_segment_lengths(drawn), 1), (model_lengths, 0)):
        nearest = np.sqrt(np.maximum(np.minimum.reduce(squares, axis=axis), 0.0)).reshape(len(size), -1)
        reach = (nearest[:, :-1] + nearest[:, 1:] + size) / 2
        beyond = reach > _ROUND * tolerances.corridor
        if beyond.any() and size[beyond].sum() > tolerances.outside * size.sum():
            return False
    return True


def _segment_lengths(lines: Floats) -> Floats:
    """The lengths of the segments of lines (lines, n, 2): (lines, n - 1)."""
    steps = lines[:, 1:] - lines[:, :-1]
    sizes: Floats = np.hypot(steps[..., 0], steps[..., 1])
    return sizes


@lru_cache(maxsize=4096)
def _all_modeled(strokes: tuple[Stroke, ...]) -> tuple[Floats, Floats]:
    """All places of these strokes as coverage sees them, (places, 2), and the lengths of their segments."""
    model = np.array([_modeled(stroke) for stroke in strokes])
    return model.reshape(-1, 2), _segment_lengths(model)


@lru_cache(maxsize=4096)
def _modeled(stroke: Stroke) -> Polyline:
    """A stroke as coverage sees it."""
    return resample(stroke.path, 48)


def coverage(explanation: Explanation, aligned: Sequence[Aligned], corridor: float) -> tuple[float, float]:
    """Share of the ink outside the corridor around the strokes, and share of the strokes with no ink near."""
    import shapely  # 0.08 s to import: not before a letter is judged

    drawn = shapely.multilinestrings([shapely.linestrings(laid.drawn) for laid in aligned])
    strokes = [explanation.formation.strokes[k] for laid in aligned for k in laid.pairing.strokes]
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
    closing = []
    for index, path in enumerate(paths):
        total = length(path)
        bit = WEIGHTS.overshoot
        for end, piece in ((0, (bit, total)), (-1, (0.0, total - bit))):
            if (
                total > 2 * bit
                and _counters([*paths[:index], cut(path, *piece), *paths[index + 1 :]]) < whole
            ):
                closing.append((index, end))
    return tuple(closing)


def _counters(paths: Sequence[Polyline]) -> int:
    """How many areas the lines enclose, the small loops of a pen not counted."""
    import shapely

    lines = [shapely.linestrings(resample(path, 96)) for path in paths]
    drawn = shapely.unary_union([line.buffer(WEIGHTS.touch / 2, quad_segs=4) for line in lines])
    holes = [hole for part in shapely.get_parts(drawn) for hole in part.interiors]
    return sum(float(shapely.area(shapely.polygons(hole))) > WEIGHTS.counter for hole in holes)


def _end_gap(index: int, end: int, lines: Sequence[Polyline], enough: float) -> float:
    """How far the end of one line is from all other ink, its own line nearby excepted.

    If a point of that is as near as `enough` to the very end, it is not asked whether more lies nearer.
    """
    line = resample(lines[index], 96)[:: 1 if end == 0 else -1]
    along = arc_lengths(line)
    far = line[along.searchsorted(WEIGHTS.around) :]
    pieces = [piece for piece in (far, *lines[:index], *lines[index + 1 :]) if len(piece) > 1]
    if not pieces:  # a line too short to come back to itself
        return float(np.hypot(*(line[-1] - line[0])))
    apart = np.concatenate(pieces) - line[0]
    nearest = float(np.hypot(apart[:, 0], apart[:, 1]).min())
    if nearest <= enough:
        return nearest
    import shapely

    near = shapely.linestrings(line[: max(2, int(along.searchsorted(WEIGHTS.overshoot)))])
    return float(shapely.distance(near, shapely.multilinestrings([*map(shapely.linestrings, pieces)])))


def gaps(explanation: Explanation, aligned: Sequence[Aligned], *, enough: float = 0.0) -> Iterator[Measure]:
    """The gap that the ink leaves at each end where the model closes, as wide as it is on paper.

    A narrow ring is fitted wider than it was written, and its gap with it. Of one that is no wider than
    `enough` the amount may be too large, though not above that.
    """
    closing = touches(explanation.formation)
    if not closing:
        return
    singles = [laid for laid in aligned if len(laid.pairing.strokes) == len(laid.pairing.traces) == 1]
    by_stroke = {laid.pairing.strokes[0]: k for k, laid in enumerate(singles)}
    drawn = [laid.drawn / (explanation.fit.widened, 1.0) for laid in singles]
    for stroke, end in closing:
        if stroke not in by_stroke:
            continue
        index = by_stroke[stroke]
        pairing = singles[index].pairing
        if all(sign < 0 for sign in pairing.traversal.signs):
            end = -1 - end  # written from the other end
        yield Measure(
            kind=Kind.CLOSURE,
            tolerance="closure",
            amount=_end_gap(index, end, drawn, enough),
            stroke=stroke,
            trace=pairing.traces[0],
            at=explanation.fit.back_at(*place(singles[index].drawn[end])),
        )
