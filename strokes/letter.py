"""Letters as they are taught: strokes, formations, letters and the guide lines they stand on.

Letter space: y grows downward, the base line is y = 0 and the x-height line y = -1; lengths are in
x-heights.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from functools import cached_property, lru_cache
from pathlib import Path
from typing import Literal, TypeAlias, get_args
from unicodedata import category

import numpy as np
from numpy.typing import ArrayLike

from strokes import svg_document
from strokes.curves import Curves
from strokes.errors import InkError, LetterError
from strokes.kinds import Kind
from strokes.polyline import LARGEST, Polyline, as_numbers, as_polyline, length
from strokes.transform import Transform
from strokes.weights import WEIGHTS

Hand: TypeAlias = Literal["left", "right"]

LetterSet: TypeAlias = Literal["small", "capital", "digit"]

NEAREST_LINES = 1e-3
"""X-heights between two guide lines at least, and at most its inverse: nobody writes on other ruling."""

FARTHEST = 100.0
"""X-heights from the origin to any point of a letter, however it was made; one in a file reaches less far."""

MOST_POINTS = 20_000
"""Points, or curves, of one formation: hundreds of times as many as any letter needs."""

SETS: tuple[LetterSet, ...] = get_args(LetterSet)
"""The sets in which letters are taught, shown and counted, in the order in which they are listed."""


def set_of(name: str) -> LetterSet:
    """The set of the letter with this name, by the Unicode category of its first character.

    Upper case (and title case) is a capital, a decimal digit a digit, everything else small: so is a letter
    of a script without case.
    """
    kind = category(name[0])
    return "capital" if kind in ("Lu", "Lt") else "digit" if kind == "Nd" else "small"


def is_other_case(name: str, other: str) -> bool:
    """Whether the letter `other` is the capital of the small letter `name`, or the other way round."""
    return other != name and other.lower() == name.lower()


def closed(path: Polyline) -> bool:
    """Whether a line ends where it begins: a loop, which may be begun anywhere."""
    return float(np.hypot(*(path[0] - path[-1]))) < WEIGHTS.loop_gap


@dataclass(frozen=True, kw_only=True)
class GuideLines:
    """The four lines, each as its y in whatever space the ink lives in (y grows downward)."""

    ascender: float = -2.0
    x_height: float = -1.0
    baseline: float = 0.0
    descender: float = 1.0

    def __post_init__(self) -> None:
        given = (self.ascender, self.x_height, self.baseline, self.descender)
        try:
            lines = as_numbers(given, "guide lines must be four numbers")
        except InkError as error:
            raise LetterError(str(error)) from error
        if lines.shape != (4,) or not (np.abs(lines) <= LARGEST).all() or not (np.diff(lines) > 0).all():
            raise LetterError(
                "guide lines must run downward: ascender, x-height, baseline, descender, "
                f"within {LARGEST:g}, not {str(given)[:80]}"
            )
        for name, line in zip(("ascender", "x_height", "baseline", "descender"), lines.tolist(), strict=True):
            object.__setattr__(self, name, line)
        gaps = np.diff(lines) / (lines[2] - lines[1])
        if gaps.min() < NEAREST_LINES or gaps.max() > 1 / NEAREST_LINES:
            raise LetterError(
                f"guide lines must be {NEAREST_LINES:g} to {1 / NEAREST_LINES:g} x-heights apart, not {given}"
            )

    @property
    def unit(self) -> float:
        """One x-height in this space."""
        return self.baseline - self.x_height

    @property
    def above(self) -> float:
        """How far the ascender line lies above the base line, in x-heights."""
        return (self.baseline - self.ascender) / self.unit

    @property
    def below(self) -> float:
        """How far the descender line lies below the base line, in x-heights."""
        return (self.descender - self.baseline) / self.unit

    def to_letter_space(self, left: float = 0.0) -> Transform:
        """The map that puts this baseline on 0 and this x-height line on -1, and x = `left` on 0."""
        unit = self.unit
        return Transform(1 / unit, 1 / unit, -left / unit, -self.baseline / unit)


@dataclass(frozen=True, eq=False)
class Stroke:
    """One stroke in letter space, run in the order the pen runs, and the cue that is said.

    `shape` is what it was made of: points (n, 2), or the curves it was drawn with.
    """

    shape: Polyline | Curves
    cue: str = ""

    def __post_init__(self) -> None:
        if not isinstance(self.shape, Curves):
            object.__setattr__(self, "shape", as_polyline(self.shape))

    @classmethod
    def of(cls, curves: Curves, cue: str = "") -> Stroke:
        """The stroke that these curves draw."""
        return cls(curves, cue)

    @cached_property
    def path(self) -> Polyline:
        """Its points (n, 2), read-only; curves are flattened when it is first asked for."""
        return as_polyline(self.shape.polyline()) if isinstance(self.shape, Curves) else self.shape

    @property
    def curves(self) -> Curves | None:
        """The curves it was drawn with; None where it is points only."""
        return self.shape if isinstance(self.shape, Curves) else None

    def moved(self, shift: ArrayLike) -> Stroke:
        """The same stroke elsewhere: by `shift` (2,), in x-heights."""
        by = np.asarray(shift, dtype=np.float64)
        if isinstance(self.shape, Curves):
            return Stroke(Curves(self.shape.segments + by), self.cue)
        return Stroke(self.shape + by, self.cue)

    @property
    def start(self) -> tuple[float, float]:
        """Where the pen comes down."""
        return float(self.path[0, 0]), float(self.path[0, 1])

    @cached_property
    def is_dot(self) -> bool:
        """Whether it is a dot, which has no direction."""
        return length(self.path) < WEIGHTS.dot_length

    @cached_property
    def is_loop(self) -> bool:
        """Whether it is one closed loop, as an o: it ends where it begins."""
        return not self.is_dot and closed(self.path)


@dataclass(frozen=True, eq=False)
class Formation:
    """One way to write a letter: its strokes in order.

    `hand` limits it to writers of that hand. `note` names the kind of finding that is told to the
    teacher as a note when a child writes this way: accepted, and not as taught.
    """

    name: str
    strokes: tuple[Stroke, ...]
    hand: Hand | None = None
    note: Kind | None = None

    def __post_init__(self) -> None:
        if not self.strokes:
            raise LetterError(f"formation {self.name!r} must have at least one stroke, not none")

    @cached_property
    def bounds(self) -> tuple[float, float, float, float]:
        """The box around all strokes: left, top, right, bottom."""
        every = np.vstack([stroke.path for stroke in self.strokes])
        left, top = every.min(axis=0)
        right, bottom = every.max(axis=0)
        return float(left), float(top), float(right), float(bottom)


@dataclass(frozen=True, eq=False)
class Letter:
    """A letter with its formations, the taught one first.

    `others` are the other letters of its alphabet that a check may say were written in its place: those of
    its own set, as only size or place tells many letters from one of another set; a letter made by hand may
    have none. `other_case` is the capital of a small letter and the small letter of a capital, which a check
    names between guide lines where the shapes differ. `elsewhere` are the letters of the other sets, which a
    check does not name: ink that is one of them is none of `others`. `recognized` are shapes that adults
    also write: the letter is read from them, and none of them is taught, shown, praised or judged by. `base`
    names the letter that one with a mark is composed from.
    """

    name: str
    formations: tuple[Formation, ...]
    others: tuple[Letter, ...] = field(default=(), repr=False)
    recognized: tuple[Formation, ...] = field(default=(), repr=False)
    base: str = ""
    other_case: Letter | None = field(default=None, repr=False)
    elsewhere: tuple[Letter, ...] = field(default=(), repr=False)

    def __post_init__(self) -> None:
        if not self.formations:
            raise LetterError(f"letter {self.name!r} must have at least one formation, not none")
        for formation in (*self.formations, *self.recognized):
            _refuse_endless(self.name, formation)
        if self.formations[0].hand or self.formations[0].note:
            raise LetterError(
                f"letter {self.name!r}: the taught formation must be for everybody and without a note"
            )

    @property
    def taught(self) -> Formation:
        """The formation that is shown."""
        return self.formations[0]

    @cached_property
    def set(self) -> LetterSet:
        """The set it belongs to, by its name: `set_of`."""
        return set_of(self.name)

    def accepted(self, hand: Hand | None) -> tuple[Formation, ...]:
        """The formations that count for a writer of this hand; with None, those that count for both."""
        return tuple(formation for formation in self.formations if formation.hand in (None, hand))

    def save(self, path: Path | str) -> None:
        """Write the letter as an SVG file that `strokes.files.load_letter` reads back, all of it or nothing.

        A stroke with curves is written as these, another one as lines. The other letters of its alphabet are
        not written. Raises LetterError for a name, a cue or formations that no file can have, and
        LetterFileError where the file cannot be written; what was there before then stays.
        """
        svg_document.write(Path(path), self.svg())

    def svg(self) -> str:
        """The text of the file that `save` writes. Raises LetterError for what no file can have."""
        recognition = (("data-use", svg_document.RECOGNITION),)
        groups = [_group(formation) for formation in self.formations]
        groups += [_group(formation, recognition) for formation in self.recognized]
        return svg_document.document(self.name, groups)


@lru_cache(maxsize=4096)  # a letter is made anew for each alphabet that it is in, of the same formations
def _refuse_endless(name: str, formation: Formation) -> None:
    """Raise LetterError for a formation that would take minutes or gigabytes to draw and to match."""
    shapes = [stroke.shape for stroke in formation.strokes]
    points = [shape.segments if isinstance(shape, Curves) else shape for shape in shapes]
    if any(np.abs(each).max() > FARTHEST for each in points):
        raise LetterError(f"letter {name!r}: points must lie within {FARTHEST:g} x-heights of the origin")
    if (count := sum(map(len, points))) > MOST_POINTS:
        raise LetterError(f"letter {name!r}: a formation must have at most {MOST_POINTS} points, not {count}")


def _group(formation: Formation, attributes: tuple[tuple[str, str], ...] = ()) -> svg_document.Group:
    """A formation as it is written to a file."""
    strokes = tuple(svg_document.Drawn(stroke.shape, stroke.cue) for stroke in formation.strokes)
    limits = (("data-hand", formation.hand), ("data-note", formation.note))
    stated = tuple((name, str(value)) for name, value in limits if value)
    return svg_document.Group(formation.name, strokes, (*attributes, *stated))


@dataclass(frozen=True)
class Family:
    """Letters that are formed by a similar movement."""

    name: str
    letters: tuple[str, ...]
