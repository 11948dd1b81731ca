"""How far ink may stray before a check speaks: named numbers with a unit and a reason."""

from __future__ import annotations

from dataclasses import dataclass, fields

from strokes.errors import ToleranceError


@dataclass(frozen=True, kw_only=True)
class Tolerances:
    """How far ink may stray before a check speaks. Lengths in x-heights.

    No published tolerance for children of 4 to 7 was found; these are settings with a reason, to be
    tuned with teachers, not norms.
    """

    start: float = (
        0.36  # along the stroke, to the side half; 98 of 100 accepted letters keep within, and 96 of 100
    )
    # that are begun 0.6 further on do not
    stem: float = 0.6  # the same for a stem of an ascender or descender where no guide lines tell its height
    end: float = (
        0.4  # of a stroke may be left at its end; a drag's end is less sure than its start (ages 4 to 5)
    )
    backwards: float = 0.5  # share of a part's length run backwards before its direction counts as wrong
    dot: float = 0.6  # any small mark above the letter is a dot
    closure: float = 0.25  # a quarter of the bowl's height is seen as a gap from an arm's length
    shape: float = (
        0.33  # mean distance along the stroke, place and heading; 9 of 10 adult letters keep within
    )
    corridor: float = 0.22  # half the width of the corridor around the model
    outside: float = 0.3  # share of the ink that may lie outside the corridor, or of the model left bare
    size_small: float = 0.7  # ratio of heights, with guide lines
    size_large: float = 1.35  # ratio of heights, with guide lines
    reach: float = 0.5  # how far an ascender or descender must pass the x-height line or base line
    place: float = 0.25  # how far off the base line the letter may stand
    reversal: float = 0.7  # the mirrored fit must be nearer than this share of the plain fit
    letter: float = 0.7  # another letter must be nearer than this share of the letter asked for
    tiny: float = 0.08  # marks shorter than this are slips of the hand, unless a dot is due

    def __post_init__(self) -> None:
        for field in fields(self):
            value = getattr(self, field.name)
            if not 0 < value < float("inf"):
                raise ToleranceError(f"{field.name} must be above 0 and finite, not {value!r}")
