"""SVG path data and transforms as points and cubic curves: svgelements computes, the grammar is checked here.

svgelements forgives broken data by dropping what it cannot read; a letter must not lose a stroke that way.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from math import ceil, hypot

import numpy as np
from svgelements import Arc, Close, CubicBezier, Line, Matrix, Move, Path, QuadraticBezier

from strokes.curves import Segments, lines
from strokes.errors import LetterError
from strokes.polyline import Polyline

STEP = 1.5
"""Points along a curve stand about this many user units apart: 0.015 x-heights, finer than any pen."""

MOST_NUMBERS = 2000
"""In one path: a stroke drawn freehand in an editor has some hundreds of numbers."""

LARGEST = 10_000.0
"""A hundred x-heights: any number beyond it is a slip."""

LONGEST = 5_000.0
"""Fifty x-heights; the longest letter is a tenth of that. It bounds the number of points."""

_LONGEST_TRANSFORM = 1000

_ARGUMENTS = {"M": 2, "L": 2, "H": 1, "V": 1, "C": 6, "S": 4, "Q": 4, "T": 2, "A": 7, "Z": 0}
_NUMBER = re.compile(r"[+-]?(?:\d+\.?\d*|\.\d+)(?:[eE][+-]?\d+)?", re.ASCII)
_GAP = re.compile(r"[ \t\r\n\f,]*")
_FLAG = re.compile("[01]")
_TRANSFORM = re.compile(r"\s*(matrix|translate|scale|rotate|skewX|skewY)\s*\(([^()]*)\)[\s,]*")
_TRANSFORM_NUMBERS = {
    "matrix": (6,),
    "translate": (1, 2),
    "scale": (1, 2),
    "rotate": (1, 3),
    "skewX": (1,),
    "skewY": (1,),
}


def drawn(data: str, transform: str = "") -> tuple[Polyline, Segments]:
    """The path `data` as points and as cubic curves (k, 4, 2), both in user units after the transforms.

    In the points curves are flattened, and corners and ends kept exactly. Arcs of an ellipse become cubics
    that are off by less than a thousandth of their size. Raises LetterError when the data is not one unbroken
    path of finite, sane numbers.
    """
    path = Path(" ".join(_tokens(data)))
    matrix = _matrix(transform)
    points: list[Polyline] = []
    curves: list[Segments] = []
    total = 0.0
    for segment in path:
        end = _moved_by(matrix, np.array([[segment.end.x, segment.end.y]]))
        if isinstance(segment, Move):
            points.append(end)
            continue
        if isinstance(segment, (Line, Close)):
            curves.append(lines(points[-1][-1:], end))
        else:
            rough = _moved_by(matrix, np.asarray(segment.npoint(np.linspace(0.0, 1.0, 17))))
            size = float(np.hypot(*np.diff(rough, axis=0).T).sum())
            total += size
            if not total <= LONGEST:
                raise LetterError(f"a stroke must be at most {LONGEST:g} units long")
            count = max(2, ceil(size / STEP) + 1)
            points.append(_moved_by(matrix, np.asarray(segment.npoint(np.linspace(0.0, 1.0, count)))[1:-1]))
            curves.append(_moved_by(matrix, _cubics(segment)))
        points.append(end)
    line = np.vstack(points)
    if not np.isfinite(line).all() or np.abs(line).max() > LARGEST:
        raise LetterError(f"every point must lie within {LARGEST:g} units of the origin")
    segments = np.concatenate(curves)
    segments[1:, 0] = segments[:-1, 3]
    long = np.abs(segments - segments[:, :1]).max(axis=(1, 2)) > 1e-9  # editors leave repetitions behind
    return line[_moved(line)], segments[long] if long.any() else segments[:1]


def _moved_by(matrix: Matrix | None, points: Polyline) -> Polyline:
    """Points (…, 2) after a transform."""
    if matrix is None:
        return points
    turned = points @ np.array([[matrix.a, matrix.b], [matrix.c, matrix.d]])
    return np.asarray(turned + np.array([matrix.e, matrix.f]))


def _cubics(segment: CubicBezier | QuadraticBezier | Arc) -> Segments:
    """One curve of a path as cubic curves (k, 4, 2)."""
    if isinstance(segment, Arc):
        if not segment.rx or not segment.ry:  # SVG 1.1, F.6.2: an arc without a radius is a line
            return lines(*(np.array([[point.x, point.y]]) for point in (segment.start, segment.end)))
        parts = [[part.start, part.control1, part.control2, part.end] for part in segment.as_cubic_curves()]
        return np.array([[(point.x, point.y) for point in part] for part in parts])
    if isinstance(segment, CubicBezier):
        points = [segment.start, segment.control1, segment.control2, segment.end]
        return np.array([[(point.x, point.y) for point in points]])
    start, control, end = (
        np.array([point.x, point.y]) for point in (segment.start, segment.control, segment.end)
    )
    return np.stack([start, start + 2 / 3 * (control - start), end + 2 / 3 * (control - end), end])[None]


def _moved(line: Polyline) -> list[bool]:
    """Which points are not a mere repetition of the one before: editors leave such behind."""
    steps = [hypot(*step) > 1e-9 for step in np.diff(line, axis=0)]
    return [True, *steps]


def _tokens(data: str) -> list[str]:
    """Commands and numbers of path data. Raises LetterError where the grammar or a bound is broken."""
    tokens = list(_scan(data))
    moves = [token for token in tokens if token in "Mm"]
    if not tokens or tokens[0] not in "Mm":
        raise LetterError("the path must begin with M")
    if len(moves) > 1:
        raise LetterError(f"a path must have one M, as a stroke is written without lifting, not {len(moves)}")
    if len(tokens) < 4:
        raise LetterError("the path has no line or curve in it")
    return tokens


def _scan(data: str) -> Iterator[str]:
    """One token after another; stops with a LetterError at the first thing that is not path data."""
    place, command, wanted, seen = _gap(data, 0), "", 0, 0
    numbers = 0
    while place < len(data):
        letter = data[place]
        if letter.upper() in _ARGUMENTS and letter.isascii():
            if wanted and (seen == 0 or seen % wanted):
                break
            command, wanted, seen = letter, _ARGUMENTS[letter.upper()], 0
            yield letter
            place = _gap(data, place + 1)
            continue
        in_flags = command in ("A", "a") and seen % 7 in (3, 4)
        match = (_FLAG if in_flags else _NUMBER).match(data, place)
        if not match or not command or not wanted:
            raise LetterError(
                f"the path data cannot be read from character {place + 1}: {_excerpt(data, place)}"
            )
        numbers += 1
        if numbers > MOST_NUMBERS:
            raise LetterError(f"a path must have at most {MOST_NUMBERS} numbers, not more")
        if not abs(float(match[0])) <= LARGEST:
            raise LetterError(f"numbers must be at most {LARGEST:g}, not {_excerpt(match[0], 0)}")
        seen += 1
        yield match[0] if in_flags else repr(float(match[0]))  # svgelements stumbles over '5.'
        place = _gap(data, match.end())
    if wanted and (seen == 0 or seen % wanted):
        raise LetterError(f"{command} takes {wanted} numbers at a time, not {seen}")


def _gap(data: str, place: int) -> int:
    match = _GAP.match(data, place)
    return match.end() if match else place


def _excerpt(data: str, place: int) -> str:
    """A few characters for a message, never a whole file."""
    return repr(data[place : place + 20])


def _matrix(transform: str) -> Matrix | None:
    """The transform attribute as a matrix; None when there is none. Raises LetterError when it is not one."""
    if not transform.strip():
        return None
    if len(transform) > _LONGEST_TRANSFORM:
        raise LetterError(f"all transforms of a stroke must have at most {_LONGEST_TRANSFORM} characters")
    place = 0
    while place < len(transform):
        match = _TRANSFORM.match(transform, place)
        numbers = match[2].replace(",", " ").split() if match else []
        good = match and len(numbers) in _TRANSFORM_NUMBERS[match[1]] and all(map(_NUMBER.fullmatch, numbers))
        if not match or not good:
            raise LetterError(
                f"the transform cannot be read from character {place + 1}: {_excerpt(transform, place)}"
            )
        if not all(abs(float(number)) <= LARGEST for number in numbers):
            raise LetterError(f"numbers in a transform must be at most {LARGEST:g}")
        place = match.end()
    return Matrix(transform)
