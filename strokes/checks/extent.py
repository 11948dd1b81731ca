"""Size and place between guide lines: height, how far ascenders and descenders reach, and the base line."""

from __future__ import annotations

from dataclasses import dataclass

from strokes.checks.measures import Measure, judged
from strokes.ink import Ink
from strokes.kinds import Kind
from strokes.letter import GuideLines
from strokes.matching import Explanation
from strokes.report import Finding
from strokes.tolerances import Tolerances
from strokes.weights import WEIGHTS


@dataclass(frozen=True)
class Reach:
    """How far an ascender or descender passes its line, as a share of the room that the guide lines leave.

    `own` is the same once the letter's own base line lies on the guide's. The part begins `begin` x-heights
    from the base line, has `room`, and is `model` long, with what it stands on, in the letter.
    """

    share: float
    own: float
    begin: float
    room: float
    model: float

    def size(self, share: float) -> float:
        """A share as the ratio to the letter's own height on that side."""
        return (self.begin + self.room * share) / self.model


@dataclass(frozen=True)
class Extent:
    """How ink lies between guide lines: its height against the letter's own, what reaches, and the base line.

    `offset` is how far the letter's base line lies below the guide's, in x-heights.
    """

    height: float
    reaches: tuple[Reach, ...]
    offset: float

    @property
    def sizes(self) -> tuple[Measure, Measure]:
        """The height, held against the least and the largest."""
        return (
            Measure(kind=Kind.SIZE, tolerance="size_small", amount=self.height, least=True),
            Measure(kind=Kind.SIZE, tolerance="size_large", amount=self.height),
        )

    @property
    def place(self) -> Measure:
        """How far the letter stands off the base line."""
        return Measure(kind=Kind.PLACE, tolerance="place", amount=self.offset)

    @property
    def measures(self) -> list[Measure]:
        """All of it, each in the unit of its tolerance."""
        reaches = [
            Measure(kind=Kind.SIZE, tolerance="reach", amount=reach.share, least=True)
            for reach in self.reaches
        ]
        return [*self.sizes, *reaches, self.place]

    def findings(self, tolerances: Tolerances) -> list[Finding]:
        """One about the size at most, and one about the place; a letter that floats is not also too short."""
        misplaced = judged([self.place], tolerances)
        sizes = judged(self.sizes, tolerances) or [
            Finding(Kind.SIZE, reach.size(reach.share), reach.size(tolerances.reach))
            for reach in self.reaches
            if (reach.own if misplaced else reach.share) < tolerances.reach
        ]
        return [*sizes[:1], *misplaced]


def extent(ink: Ink, explanation: Explanation, guide: GuideLines) -> Extent:
    """How this ink lies between the lines."""
    space, (_, top, _, bottom) = guide.to_letter_space(), ink.bounds
    top, bottom = (space.at(0.0, y)[1] for y in (top, bottom))
    _, model_top, _, model_bottom = explanation.formation.bounds
    height = (bottom - top) / max(model_bottom - model_top, 1e-9)
    offset = baseline(explanation, guide)
    above, below = guide.above - 1, guide.below
    reaches = []
    if model_top < -(1 + WEIGHTS.tall * above):
        reaches.append(Reach((-top - 1) / above, (-top - 1 + offset) / above, 1.0, above, -model_top))
    if model_bottom > WEIGHTS.tall * below:
        reaches.append(Reach(bottom / below, (bottom - offset) / below, 0.0, below, model_bottom))
    return Extent(height, tuple(reaches), offset)


def baseline(explanation: Explanation, guide: GuideLines) -> float:
    """Where the letter's own base line lies, in x-heights below the guide's."""
    return guide.to_letter_space().at(*explanation.fit.back_at(0.0, 0.0))[1]
