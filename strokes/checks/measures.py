"""Measure, then judge: what a check measured, and the second step that holds it against a tolerance."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from strokes.kinds import Kind
from strokes.polyline import Polyline
from strokes.report import Finding
from strokes.tolerances import Tolerances


@dataclass(frozen=True, kw_only=True)
class Measure:
    """An amount that a check measured, in the unit of the tolerance that it is held against.

    `tolerance` names the field of Tolerances; None is for what is counted, of which one is too many. The
    amount must not exceed the limit, or with `least` must reach it. `limit` replaces the tolerance where a
    weight is stricter. The other fields are those of the Finding that comes of it.
    """

    kind: Kind
    tolerance: str | None = None
    amount: float = 1
    least: bool = False
    limit: float | None = None
    stroke: int | None = None
    trace: int | None = None
    part: tuple[float, float] | None = None
    at: tuple[float, float] | None = None
    order: tuple[int, ...] = ()
    letter: str | None = None

    def finding(self, tolerances: Tolerances) -> Finding | None:
        """What is found if the amount is past its limit; None where it is not."""
        limit = self.limit
        if limit is None:
            limit = getattr(tolerances, self.tolerance) if self.tolerance else 0
        past = self.amount < limit if self.least else abs(self.amount) > limit
        if not past:
            return None
        return Finding(
            self.kind,
            self.amount,
            limit,
            self.stroke,
            self.trace,
            self.part,
            self.at,
            self.order,
            self.letter,
        )


def judged(measures: Iterable[Measure], tolerances: Tolerances) -> list[Finding]:
    """The findings of all measures that are past their limits, in their order."""
    return [finding for measure in measures if (finding := measure.finding(tolerances))]


def first_found(measures: Iterable[Measure], tolerances: Tolerances) -> Finding | None:
    """The finding of the first measure that is past its limit; those after it are not worked out."""
    return next((finding for measure in measures if (finding := measure.finding(tolerances))), None)


def place(point: Polyline) -> tuple[float, float]:
    """A point as a Finding holds it."""
    return float(point[0]), float(point[1])
