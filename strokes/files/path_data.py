"""SVG path data and transforms as cubic curves: svgelements computes, the grammar is checked here.

svgelements forgives broken data by dropping what it cannot read; a letter must not lose a stroke that way. It
is imported for data that the program did not write.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from typing import TYPE_CHECKING

import numpy as np

from strokes.curves import Segments, lines
from strokes.errors import LetterError

if TYPE_CHECKING:
    from svgelements import Arc, CubicBezier, Matrix, QuadraticBezier

MOST_NUMBERS = 2000
"""In one path: a stroke drawn freehand in an editor has some hundreds of numbers."""

LARGEST = 10_000.0
"""A hundred x-heights: any number beyond it is a slip."""

LONGEST = 5_000.0
"""Fifty x-heights, handles counted in; the longest letter is a tenth of that. It bounds the points."""

_LONGEST_TRANSFORM = 1000

_ARGUMENTS = {"M": 2, "L": 2, "H": 1, "V": 1, "C": 6, "S": 4, "Q": 4, "T": 2, "A": 7, "Z": 0}
_PLAIN = re.compile(r"M[0-9 .-]+(?:[LC][0-9 .-]+)+")
_PART = re.compile(r"([MLC])([0-9 .-]+)")
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


def drawn(data: str, transform: str = "") -> Segments:
    """The path `data` as cubic curves (k, 4, 2) in user units, after the transforms.

    Arcs of an ellipse become cubics that are off by less than a thousandth of their size. Raises LetterError
    when the data is not one unbroken path of finite, sane numbers.
    """
    plain = _plain(data)
    try:
        segments = _moved_by(_matrix(transform), _any(data) if plain is None else plain)
    except ArithmeticError as error:  # an arc whose radii differ beyond all digits
        raise LetterError(f"the path cannot be drawn: {error}") from error
    if not np.hypot(*np.diff(segments, axis=1).T).sum() <= LONGEST:
        raise LetterError(f"a stroke must be at most {LONGEST:g} units long")
    if np.abs(segments).max() > LARGEST:
        raise LetterError(f"every point must lie within {LARGEST:g} units of the origin")
    segments[1:, 0] = segments[:-1, 3]
    long = np.abs(segments - segments[:, :1]).max(axis=(1, 2)) > 1e-9  # editors leave repetitions behind
    return segments[long] if long.any() else segments[:1]


def _plain(data: str) -> Segments | None:
    """The curves of data with nothing but M, L and C and spaces between its numbers; None for any other.

    So the program writes it. svgelements takes most of the time in which an alphabet is loaded, and this a
    tenth of it. Faulty data is other data: what is wrong with it is told in one place, `_scan`.
    """
    if not _PLAIN.fullmatch(data):
        return None
    row: list[float] = []
    try:
        for command, text in _PART.findall(data):
            numbers = list(map(float, text.split()))
            if command != "L":
                row += numbers
            if len(numbers) != _ARGUMENTS[command]:
                return None
            if command == "L":
                (x, y), (end_x, end_y) = row[-2:], numbers
                row += [x + (end_x - x) / 3, y + (end_y - y) / 3]
                row += [end_x - (end_x - x) / 3, end_y - (end_y - y) / 3, end_x, end_y]
    except ValueError:  # a sign or a point that does not begin a number
        return None
    if len(row) > MOST_NUMBERS or max(map(abs, row)) > LARGEST:
        return None
    points = np.array(row).reshape(-1, 2)
    segments: Segments = points[3 * np.arange(len(points) // 3)[:, None] + np.arange(4)]
    return segments


def _any(data: str) -> Segments:
    """The curves of any path data."""
    from svgelements import Close, Line, Move, Path

    curves: list[Segments] = []
    for segment in Path(" ".join(_tokens(data))):
        if isinstance(segment, (Line, Close)):
            start, end = (np.array([[point.x, point.y]]) for point in (segment.start, segment.end))
            curves.append(lines(start, end))
        elif not isinstance(segment, Move):
            curves.append(_cubics(segment))
    return np.concatenate(curves)


def _moved_by(matrix: Matrix | None, segments: Segments) -> Segments:
    if matrix is None:
        return segments
    turned = segments @ np.array([[matrix.a, matrix.b], [matrix.c, matrix.d]])
    return np.asarray(turned + np.array([matrix.e, matrix.f]))


def _cubics(segment: CubicBezier | QuadraticBezier | Arc) -> Segments:
    """One curve of a path as cubic curves (k, 4, 2)."""
    from svgelements import Arc, CubicBezier

    if isinstance(segment, Arc):
        parts = segment.as_cubic_curves() if segment.rx and segment.ry else ()
        curves = [[part.start, part.control1, part.control2, part.end] for part in parts]
        if not curves:  # SVG 1.1, F.6.2: an arc without a radius, or without a way, is a line
            return lines(*(np.array([[point.x, point.y]]) for point in (segment.start, segment.end)))
        return np.array([[(point.x, point.y) for point in curve] for curve in curves])
    if isinstance(segment, CubicBezier):
        points = [segment.start, segment.control1, segment.control2, segment.end]
        return np.array([[(point.x, point.y) for point in points]])
    start, control, end = (
        np.array([point.x, point.y]) for point in (segment.start, segment.control, segment.end)
    )
    return np.stack([start, start + 2 / 3 * (control - start), end + 2 / 3 * (control - end), end])[None]


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
    place, command, wanted, given = _gap(data, 0), "", 0, 0
    numbers = 0
    while place < len(data):
        letter = data[place]
        if letter.upper() in _ARGUMENTS and letter.isascii():
            if wanted and (given == 0 or given % wanted):
                break
            command, wanted, given = letter, _ARGUMENTS[letter.upper()], 0
            yield letter
            place = _gap(data, place + 1)
            continue
        in_flags = command in ("A", "a") and given % 7 in (3, 4)
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
        given += 1
        yield match[0] if in_flags else repr(float(match[0]))  # svgelements stumbles over '5.'
        place = _gap(data, match.end())
    if wanted and (given == 0 or given % wanted):
        raise LetterError(f"{command} takes {wanted} numbers at a time, not {given}")


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
    from svgelements import Matrix

    return Matrix(transform)
