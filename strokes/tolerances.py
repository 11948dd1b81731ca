"""How far ink may stray before a check speaks: named numbers with a unit and a reason, and a set a stage."""

from __future__ import annotations

from dataclasses import dataclass, fields
from typing import Literal, TypeAlias, get_args

from strokes.errors import ToleranceError

Stage: TypeAlias = Literal["first", "growing", "fluent"]
"""First letters, growing, fluent."""


class Limits:
    """A dataclass whose fields are lengths and shares that something is held against."""

    def __post_init__(self) -> None:
        for field in fields(self):  # type: ignore[arg-type]
            value = getattr(self, field.name)
            if not 0 < value < float("inf"):
                raise ToleranceError(f"{field.name} must be above 0 and finite, not {value!r}")


@dataclass(frozen=True, kw_only=True)
class Tolerances(Limits):
    """How far ink may stray before a check speaks. Lengths in x-heights.

    No published tolerance for children of 4 to 7 was found; these are settings with a reason, to be
    tuned with teachers, not norms. `python -m strokes.evaluation --plots` draws what each lets through on
    real ink. The values here are the stage `growing`.
    """

    # Along the stroke, to the side half: what the table of formations lets a start stray. On real ink 99 of
    # 100 accepted letters keep within, and 96 of 100 that are begun 0.6 further on do not.
    start: float = 0.35
    # The same for a long stem where no guide lines tell its height: how far it rises beside a bowl is a
    # writer's own measure, and many lead in from below. At 0.5 twenty in a thousand real stems that are begun
    # at the top would be told; so 43 of 100 that are begun an x-height lower are told, where 65 would be.
    stem: float = 0.75
    # What may be left of a stroke at its end: the end of a drag is less sure than its start at 4 to 5 (Nacher
    # and others 2015, citing others).
    end: float = 0.4
    # Share of a part's length run backwards before its direction counts as wrong: more than not.
    backwards: float = 0.5
    # Any small mark above the letter is a dot.
    dot: float = 0.6
    # More than a quarter of the height of a bowl is seen as a gap from an arm's length.
    closure: float = 0.3
    # Mean distance along the stroke, place and heading; nine of ten adult letters keep within.
    shape: float = 0.33
    # Half the width of the corridor around the model.
    corridor: float = 0.22
    # Share of the ink that may lie outside the corridor, or of the model left bare.
    outside: float = 0.3
    # Ratios of heights, between guide lines: a third off is seen at once in a row of letters.
    size_small: float = 0.7
    size_large: float = 1.35
    # How far an ascender or descender must pass the x-height line or base line: half of what is taught.
    reach: float = 0.5
    # How far off the base line the letter may stand, between guide lines.
    place: float = 0.25
    # The mirrored fit must be nearer than this share of the plain fit.
    reversal: float = 0.7
    # Another letter must be nearer than this share of the letter asked for.
    letter: float = 0.7
    # One mark shorter than this is a slip of the hand, unless a dot is due.
    tiny: float = 0.08

    @classmethod
    def of(cls, stage: str) -> Tolerances:
        """The set of a stage. Raises ToleranceError for a stage that is none of them."""
        if stage not in STAGES:
            raise ToleranceError(f"a stage must be one of {', '.join(get_args(Stage))}, not {stage!r}")
        return STAGES[stage]


STAGES: dict[str, Tolerances] = {
    # The movement counts, the outcome wanders: half a letter for a start, wide corridors. Prescribed strokes
    # do not help before about 4 1/2 (Frontiers in Psychology 11:500, 2020): what is no clear fault is let be.
    "first": Tolerances(
        start=0.5,
        stem=0.9,
        end=0.6,
        dot=0.8,
        closure=0.35,
        shape=0.42,
        corridor=0.28,
        outside=0.4,
        size_small=0.6,
        size_large=1.6,
        reach=0.35,
        place=0.4,
    ),
    "growing": Tolerances(),
    # Letters of one size on the line (England, Year 2: size relative to one another): a fifth is enough.
    "fluent": Tolerances(
        start=0.3,
        stem=0.55,
        end=0.3,
        closure=0.2,
        shape=0.29,
        corridor=0.18,
        outside=0.25,
        size_small=0.75,
        size_large=1.25,
        reach=0.6,
        place=0.2,
    ),
}
"""The sets by stage, the first the widest: what a narrower one lets through, a wider one does too."""


def stage_of(tolerances: Tolerances) -> Stage:
    """The stage whose set these are; `growing` for tolerances of one's own."""
    return next((stage for stage in get_args(Stage) if STAGES[stage] == tolerances), "growing")
