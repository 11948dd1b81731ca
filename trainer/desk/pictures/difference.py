"""Where the way of the pen differs from the model: what ran the other way, and where it should have begun."""

from __future__ import annotations

import numpy as np

from strokes.kinds import Kind
from strokes.letter import Formation
from strokes.polyline import Polyline, arc_lengths, cut, length, points_at
from strokes.report import Finding
from trainer.attempt import Attempt
from trainer.drawing import Point

LOOKED_AT = 80
"""Places of a trace that may be an end of the piece: more exact than the width of the ink."""


NEAR = 0.6
"""X-heights by which a piece may miss its ends and its length, all together, to be taken for the part: beyond
half the height of an x it would be another one. A mirrored letter has none that comes so near."""


def other_way(attempt: Attempt, finding: Finding, formation: Formation | None) -> Polyline | None:
    """The piece of the ink that ran the other way, in the order of writing; None for other findings.

    Finding and ink say which trace, which stroke and which part of it. Written backwards, that part begins
    where it ends in the model and ends where it begins there: of all pieces of the trace the one that comes
    nearest to that, and to its length, is the one; None where none comes near.
    """
    model = _model(attempt, finding, formation) if finding.kind is Kind.DIRECTION else None
    if model is None or finding.part is None or finding.trace is None:
        return None
    whole = length(model)
    first, last = finding.part
    part = cut(model, first * whole, last * whole)
    trace = attempt.ink.traces[finding.trace].points
    along = arc_lengths(trace)
    stops = np.linspace(0.0, along[-1], LOOKED_AT)
    places = points_at(trace, along, stops)
    begins, ends = (np.hypot(*(places - end).T) for end in (part[-1], part[0]))
    long = np.abs(stops[None, :] - stops[:, None] - length(part))
    misfit = np.where(stops[None, :] > stops[:, None], begins[:, None] + ends[None, :] + long, np.inf)
    here, there = np.unravel_index(int(np.argmin(misfit)), misfit.shape)
    if misfit[here, there] > NEAR:
        return None
    return cut(trace, float(stops[here]), float(stops[there]))


def begins(attempt: Attempt, finding: Finding, formation: Formation | None) -> Point | None:
    """Where a stroke that began somewhere else begins in the model; None for other findings."""
    model = _model(attempt, finding, formation) if finding.kind is Kind.START else None
    return None if model is None else (float(model[0, 0]), float(model[0, 1]))


def _model(attempt: Attempt, finding: Finding, formation: Formation | None) -> Polyline | None:
    """The stroke that a finding is about; None where it or its trace is not there (any more)."""
    if formation is None or finding.stroke is None or finding.trace is None:
        return None
    if finding.stroke >= len(formation.strokes) or finding.trace >= len(attempt.ink.traces):
        return None
    return formation.strokes[finding.stroke].path
