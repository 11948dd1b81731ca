"""Ends and corners that clearly mean a guide line, another end or another stroke are put there.

The ink next to it is moved along, less and less away from it, so that nothing gets a kink.
"""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from strokes.letter import GuideLines
from strokes.polyline import Polyline, arc_lengths

REACH = 0.05
"""In x-heights: an end that is nearer than this to a line clearly means it. Who lets curves stray farther
from the ink lets ends be moved as far."""

OWN_DISTANCE = 0.6
"""In x-heights along a stroke from its end: the part of it that lies further back can be meant by the end."""

EXTREME = 0.03
"""In x-heights: an end means a guide line only where no ink near it goes on beyond the end by more than this:
the end of a c lies below the line that its bowl reaches."""

YIELDING = 0.5
"""In x-heights along the ink: so much of it is moved with an end, less and less away from it."""

_ON = 1e-6


def snap(
    strokes: Sequence[Sequence[Polyline]],
    guide: GuideLines,
    reach: float = REACH,
    beside: Sequence[Sequence[Polyline]] = (),
) -> list[list[Polyline]]:
    """The pieces of all strokes, in letter space, with their ends and corners put where they clearly belong.

    Each stroke is put beside those before it, and beside others that stay where they are.
    """
    placed: list[list[Polyline]] = []
    for stroke in strokes:
        placed.append(_snap_stroke(stroke, [*beside, *placed], guide, reach))
    return placed


def _snap_stroke(
    stroke: Sequence[Polyline], others: Sequence[Sequence[Polyline]], guide: GuideLines, reach: float
) -> list[Polyline]:
    """The pieces of one stroke, put beside others that stay where they are.

    First on guide lines, then the stroke's end on an end or a corner, then on a stroke, its own among them.
    An end that is on a guide line stays on it. A dot is where it is.
    """
    pieces = [piece.copy() for piece in stroke]
    if len(pieces[0]) == 1:
        return pieces
    heights = (guide.ascender, guide.x_height, guide.baseline, guide.descender)
    for node in range(len(pieces) + 1):
        place = _node(pieces, node)
        line = min(heights, key=lambda height: abs(height - place[1]))
        if abs(line - place[1]) < reach and _is_extreme(pieces, node):
            _put(pieces, node, np.array([place[0], line]))
    lines = [other for other in others if len(other[0]) > 1]
    for node in (0, len(pieces)):
        target = _meant(pieces, node, lines, heights, reach)
        if target is not None:
            _put(pieces, node, target)
    return pieces


def _is_extreme(stroke: list[Polyline], node: int) -> bool:
    """Whether no ink near a node is higher, or none is lower, than the node itself."""
    own = np.vstack(stroke)
    along = arc_lengths(own)
    here = sum(float(arc_lengths(piece)[-1]) for piece in stroke[:node])
    near = own[np.abs(along - here) < OWN_DISTANCE, 1]
    place = float(_node(stroke, node)[1])
    side = 1.0 if place >= float(near.mean()) else -1.0  # whether the ink comes down to it, or up
    return bool((side * near).max() - side * place < EXTREME)


def _meant(
    stroke: list[Polyline],
    node: int,
    others: Sequence[Sequence[Polyline]],
    heights: Sequence[float],
    reach: float,
) -> Polyline | None:
    """Where an end belongs, or None: the nearest end or corner, else the nearest line, within `reach`."""
    place = _node(stroke, node)
    on_guide = any(abs(place[1] - height) < _ON for height in heights)
    nodes = [_node(other, at) for other in others for at in range(len(other) + 1)]
    far = [_node(stroke, at) for at in range(len(stroke) + 1) if _apart(stroke, node, at) > OWN_DISTANCE]
    for candidates in ([*far, *nodes], _near_lines(stroke, node, others)):
        free = [candidate for candidate in candidates if not on_guide or abs(candidate[1] - place[1]) < reach]
        if free:
            target = min(free, key=lambda candidate: float(np.hypot(*(candidate - place))))
            if np.hypot(*(target - place)) < reach:
                return np.array([target[0], place[1]]) if on_guide else target
    return None


def _near_lines(stroke: list[Polyline], node: int, others: Sequence[Sequence[Polyline]]) -> list[Polyline]:
    """The nearest place on each other stroke, and on the part of the own one that lies further back."""
    place = _node(stroke, node)
    lines = [np.vstack(other) for other in others]
    own = np.vstack(stroke)
    along = arc_lengths(own)
    lines.append(own[np.abs(along - (0.0 if node == 0 else along[-1])) > OWN_DISTANCE])
    return [line[int(np.argmin(np.hypot(*(line - place).T)))] for line in lines if len(line)]


def _apart(stroke: list[Polyline], node: int, other: int) -> float:
    """How far it is along a stroke from one node to another."""
    first, last = sorted((node, other))
    return float(sum(arc_lengths(piece)[-1] for piece in stroke[first:last]))


def _node(stroke: Sequence[Polyline], node: int) -> Polyline:
    """The place at which piece `node` of a stroke begins, or the last one ends."""
    place: Polyline = stroke[node][0] if node < len(stroke) else stroke[-1][-1]
    return place


def _put(stroke: list[Polyline], node: int, place: Polyline) -> None:
    """Moves a node of a stroke, in place, and the pieces at it."""
    shift = place - _node(stroke, node)
    for at, end in ((node - 1, -1), (node, 0)):
        if 0 <= at < len(stroke):
            along = arc_lengths(stroke[at])
            away = np.abs(along - along[end]) / min(YIELDING, max(float(along[-1]), 1e-12))
            share = np.cos(np.minimum(away, 1.0) * np.pi / 2) ** 2
            stroke[at] = stroke[at] + share[:, None] * shift
            stroke[at][end] = place
