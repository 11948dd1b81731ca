"""UNIPEN 1.0, the format of the large collections of handwriting, read.

I. Guyon, L. Schomaker, R. Plamondon, M. Liberman, S. Janet (1994), Proc. 12th ICPR, 29-33. A key word
stands at the start of a line after a dot. Components are the .PEN_DOWN and .PEN_UP blocks that are not
empty, counted from 0 through all included files; a .SEGMENT names some of them, and y grows upward.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass, field
from pathlib import Path

import numpy as np

from strokes.errors import InkError, InkFileError
from strokes.files.specimen import (
    DEVICE,
    MILLIMETERS,
    MOST_POINTS,
    MOST_SPECIMENS,
    MOST_TRACES,
    WIDEST,
    Specimen,
    timed,
)
from strokes.files.unipen.lines import Statement, statements
from strokes.files.unipen.segment import Segment, segment
from strokes.ink import Trace
from strokes.polyline import Floats

_PER_MILLIMETER = {"INCH": 1 / 25.4, "MM": 1.0}


def read_unipen(path: Path | str, *, level: str = "CHARACTER") -> tuple[Specimen, ...]:
    """The segments of one level of the hierarchy; where the file has none at all, all of it is one specimen.

    Each tells `label`, `quality` and, where the file does, `hand`. Points are in millimeters where the file
    says how many go into an inch, times come from T or from .POINTS_PER_SECOND. Raises InkFileError.
    """
    reader = _Reader()
    for statement in statements(Path(path)):
        reader.take(statement)
    if not reader.components:
        raise InkFileError(path, "must have at least one .PEN_DOWN or .PEN_UP with points, not none")
    chosen = [segment for segment in reader.segments if segment.level == level]
    if reader.segments and not chosen:
        levels = ", ".join(sorted({segment.level for segment in reader.segments}))
        raise InkFileError(path, f"must have segments of the level {level}, not only of {levels}")
    read = [reader.specimen(segment) for segment in chosen] if chosen else [reader.everything(Path(path))]
    specimens = tuple(specimen for specimen in read if specimen.ink.traces)
    if not specimens:
        raise InkFileError(path, "must have at least one segment in which the pen is down, not none")
    return specimens


@dataclass(frozen=True, eq=False, slots=True)
class _Component:
    """A block of points: whether the pen was down, where it was, y downward, its unit, and when in s."""

    down: bool
    points: Floats
    unit: str
    times: Floats | None


@dataclass
class _Reader:
    """What the statements so far have said."""

    coordinates: tuple[str, ...] = ()
    scale: dict[str, float] = field(default_factory=dict)
    rate: float | None = None
    clock: float = 0.0
    hand: str | None = None
    components: list[_Component] = field(default_factory=list)
    segments: list[Segment] = field(default_factory=list)
    points: int = 0
    given: int = 0
    pieces: int = 0
    ranges: int = 0

    def take(self, statement: Statement) -> None:
        """Take one statement in; those that say nothing about the ink are passed over."""
        match statement.word:
            case "COORD":
                self._coordinates(statement)
            case "X_POINTS_PER_INCH" | "Y_POINTS_PER_INCH" | "X_POINTS_PER_MM" | "Y_POINTS_PER_MM":
                axis, _, unit = statement.word.partition("_POINTS_PER_")
                self.scale[axis] = 1 / (_positive(statement) * _PER_MILLIMETER[unit])
            case "POINTS_PER_SECOND":
                self.rate = _positive(statement)
            case "DT":
                self.clock += _number(statement) / 1000
            case "HAND":
                self.hand = {"L": "left", "R": "right"}.get(statement.text.strip()[:1].upper())
            case "PEN_DOWN" | "PEN_UP":
                self._component(statement)
            case "SEGMENT":
                if len(self.segments) >= MOST_SPECIMENS:
                    raise statement.refuse(f"a file must have at most {MOST_SPECIMENS} segments, not more")
                self.segments.append(segment(statement))
                self.ranges += len(self.segments[-1].ranges)
                if self.ranges > MOST_TRACES:
                    raise statement.refuse(f"all segments together must have at most {MOST_TRACES} ranges")

    def everything(self, path: Path) -> Specimen:
        """All ink of the file as one specimen."""
        try:
            return self._specimen(((component, slice(None)) for component in self.components), {})
        except InkError as error:
            raise InkFileError(path, str(error)) from error

    def specimen(self, segment: Segment) -> Specimen:
        """The ink of a segment and what is told of it."""
        pieces = list(self._pieces(segment))
        try:
            return self._specimen(pieces, {"label": segment.label, "quality": segment.quality})
        except InkError as error:
            raise segment.refuse(str(error)) from error

    def _specimen(self, pieces: Iterable[tuple[_Component, slice]], labels: dict[str, str]) -> Specimen:
        traces, units = [], set()
        for component, part in pieces:
            if component.down:
                times = None if component.times is None else component.times[part]
                traces.append(Trace(component.points[part], times))
                units.add(component.unit)
        if len(units) > 1:
            raise InkError("points must all come before what tells their scale, or all after it, not both")
        about = {kind: text for kind, text in (labels | {"hand": self.hand or ""}).items() if text}
        unit = units.pop() if units else DEVICE
        return Specimen(timed(traces, unit), about, unit)

    @property
    def _unit(self) -> str:
        """The unit of points that come now."""
        return MILLIMETERS if self.scale.keys() >= {"X", "Y"} else DEVICE

    def _pieces(self, segment: Segment) -> Iterator[tuple[_Component, slice]]:
        """The components of a segment, each with the points of it that belong to the segment."""
        last = len(self.components) - 1
        for span in segment.ranges:
            if span.last > last:
                raise segment.refuse(f"components must be from 0 to {last}, not {span.last}")
            for number in range(span.first, span.last + 1):
                component = self.components[number]
                count = len(component.points)
                begin = (span.first_point or 0) if number == span.first else 0
                whole = number < span.last or span.last_point is None
                end = count if whole else (span.last_point or 0) + 1
                if not 0 <= begin < end <= count:
                    raise segment.refuse(
                        f"points of component {number} must be from 0 to {count - 1}, in order"
                    )
                self.given += end - begin
                self.pieces += 1
                if self.given > MOST_POINTS or self.pieces > MOST_TRACES:
                    raise segment.refuse(
                        f"all segments together must have at most {MOST_POINTS} points in {MOST_TRACES} "
                        "components, not more"
                    )
                yield component, slice(begin, end)

    def _coordinates(self, statement: Statement) -> None:
        names = tuple(statement.text.upper().split())
        if not {"X", "Y"} <= set(names) or len(set(names)) < len(names) or len(names) > 12:
            shown = " ".join(names)[:60]
            raise statement.refuse(f".COORD must name X, Y and at most ten more, each once, not {shown!r}")
        self.coordinates = names

    def _component(self, statement: Statement) -> None:
        if not statement.has_numbers:
            return
        if not self.coordinates:
            raise statement.refuse(".COORD must come before the first points, and it does not")
        rows = statement.rows(len(self.coordinates))
        self.points += len(rows)
        if self.points > MOST_POINTS or len(self.components) >= MOST_TRACES:
            raise statement.refuse(
                f"a file must have at most {MOST_POINTS} points in {MOST_TRACES} components, not more"
            )
        places = [self.coordinates.index(axis) for axis in ("X", "Y")]
        unit = self._unit
        x, y = (self.scale["X"], self.scale["Y"]) if unit == MILLIMETERS else (1.0, 1.0)
        points = rows[:, places] * (x, -y) + 0.0  # no negative zero
        if np.abs(points).max() > WIDEST[unit]:
            raise statement.refuse(f"places must lie within {WIDEST[unit]:g} {unit} of 0, not beyond")
        times = self._times(rows)
        if times is not None and (np.diff(times) < 0).any():
            raise statement.refuse("times must not run backwards")
        self.components.append(_Component(statement.word == "PEN_DOWN", points, unit, times))

    def _times(self, rows: Floats) -> Floats | None:
        if "T" in self.coordinates:
            return rows[:, self.coordinates.index("T")] / 1000
        if self.rate is None:
            return None
        times = self.clock + np.arange(len(rows)) / self.rate
        self.clock = float(times[-1]) + 1 / self.rate
        return times


def _number(statement: Statement) -> float:
    words = statement.text.split()
    try:
        number = float(words[0]) if words else float("nan")
    except ValueError:
        number = float("nan")
    if not 0 <= number < 1e9:
        raise statement.refuse(
            f".{statement.word} must have a number that is not negative, not {statement.text[:30]!r}"
        )
    return number


def _positive(statement: Statement) -> float:
    number = _number(statement)
    if number < 1e-6:
        raise statement.refuse(f".{statement.word} must be above 0, by a millionth at least, not {number:g}")
    return number
