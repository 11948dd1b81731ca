"""A letter as an SVG document of its own: what `Letter.save` writes and `strokes.files` reads.

100 user units to the x-height, y downward. A `g` is a formation, the taught one first, a `path` a stroke, and
a `title` in it the cue. What is read from strangers is bounded there; here only what cannot be read back is
refused.
"""

from __future__ import annotations

import os
from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path
from xml.etree.ElementTree import Element, SubElement, indent, tostring

import numpy as np

from strokes.curves import Curves
from strokes.errors import LetterError, LetterFileError
from strokes.polyline import Polyline, bounds

UNITS = 100.0
"""User units to the x-height."""

RECOGNITION = "recognition"
"""The value of data-use on a formation that a letter is only read from."""

LONGEST_CUE = 80
"""Characters of a cue that can still be said while the pen moves."""

_NAMESPACE = "http://www.w3.org/2000/svg"
_PEN = 9.0  # user units: the width of the line that shows a stroke
_MARGIN = 30.0  # user units around the letter
_SIMPLER = 0.001  # x-heights that a line without curves may lose when points are left out
_DOT = 0.0051  # x-heights from a lone point to each end of the line it is written as


@dataclass(frozen=True, eq=False)
class Drawn:
    """One stroke as it is written: its curves, or a line (n, 2) in x-heights, and its cue."""

    shape: Curves | Polyline
    cue: str


@dataclass(frozen=True)
class Group:
    """One formation as it is written: its id, what it is for, and its strokes."""

    name: str
    strokes: tuple[Drawn, ...]
    attributes: tuple[tuple[str, str], ...] = ()


def document(name: str, groups: Sequence[Group]) -> str:
    """The text of the SVG file of a letter. Raises LetterError for what no reader would take back."""
    names = [group.name for group in groups]
    for again in sorted({other for other in names if names.count(other) > 1}):
        raise LetterError(f"the formations of {name!r} must have different names, not twice {again!r}")
    every = np.vstack([_points(stroke.shape) for stroke in groups[0].strokes]) * UNITS
    left, top, right, bottom = bounds(every)
    box = (left - _MARGIN, top - _MARGIN, right - left + 2 * _MARGIN, bottom - top + 2 * _MARGIN)
    root = Element(
        "svg",
        {
            "xmlns": _NAMESPACE,
            "viewBox": " ".join(f"{value:.0f}" for value in box),
            **{"fill": "none", "stroke": "#000", "stroke-width": f"{_PEN:g}"},
            **{"stroke-linecap": "round", "stroke-linejoin": "round"},
        },
    )
    SubElement(root, "title").text = _visible(name, "the name")
    for number, group in enumerate(groups):
        hidden = {"display": "none"} if number else {}
        element = SubElement(
            root, "g", {"id": _visible(group.name, "a name"), **dict(group.attributes), **hidden}
        )
        SubElement(element, "title").text = group.name  # by it a reader tells a formation from a layer
        for stroke in group.strokes:
            path = SubElement(element, "path", {"d": path_data(stroke.shape)})
            if stroke.cue or not number:  # an empty title says that a taught stroke is shown without words
                SubElement(path, "title").text = _cue(stroke.cue)
    indent(root)
    return tostring(root, encoding="unicode") + "\n"


def write(path: Path, text: str) -> None:
    """Puts `text` in the file at `path`, all of it or nothing: a side file takes its place when it is whole.

    Raises LetterFileError where it cannot be written.
    """
    side = path.with_name(f".{path.name}.{os.getpid()}.part")
    try:
        try:
            with side.open("w", encoding="utf-8", newline="\n") as file:
                file.write(text)
                file.flush()
                os.fsync(file.fileno())
            side.replace(path)
        finally:
            side.unlink(missing_ok=True)
    except (OSError, ValueError) as error:  # ValueError: a name with a null character
        raise LetterFileError(
            path, f"cannot be written: {getattr(error, 'strerror', None) or error}"
        ) from error


def path_data(shape: Curves | Polyline) -> str:
    """The path data of curves, or of a line (n, 2) in x-heights, in user units."""
    if isinstance(shape, Curves):
        parts = [f"M{_pair(shape.segments[0, 0])}"]
        for segment, straight in zip(shape.segments, shape.straight, strict=True):
            points = segment[3:] if straight else segment[1:]
            parts.append(("L" if straight else "C") + " ".join(map(_pair, points)))
        return " ".join(parts)
    line = _simpler(shape)
    return " ".join([f"M{_pair(line[0])}", *(f"L{_pair(point)}" for point in line[1:])])


def _simpler(line: Polyline) -> Polyline:
    """A line with the points that it needs; of a lone point, a short line over it."""
    from shapely import LineString

    if not np.ptp(line, axis=0).any():
        return np.vstack([line[0] - (0.0, _DOT), line[0] + (0.0, _DOT)])
    return np.asarray(LineString(line).simplify(_SIMPLER, preserve_topology=True).coords)


def _points(shape: Curves | Polyline) -> Polyline:
    return shape.polyline() if isinstance(shape, Curves) else shape


def _pair(point: Polyline) -> str:
    return " ".join(f"{round(value * UNITS, 2) + 0.0:.2f}".rstrip("0").rstrip(".") for value in point)


def _visible(text: str, what: str) -> str:
    if not text or not text.isprintable():
        raise LetterError(f"{what} must be visible characters, not {text[:20]!r}")
    return text


def _cue(cue: str) -> str:
    if len(cue) > LONGEST_CUE or not cue.isprintable():
        raise LetterError(
            f"a cue must be at most {LONGEST_CUE} visible characters, not {cue[:LONGEST_CUE]!r}"
        )
    return cue
