"""A simulated hand: it writes a letter steadily, or with one stated fault. For tests and for the demo."""

from __future__ import annotations

from dataclasses import dataclass
from itertools import pairwise

import numpy as np

from strokes.checks import touches
from strokes.errors import LetterError
from strokes.ink import Ink
from strokes.kinds import Kind
from strokes.letter import Formation, Letter, Stroke, closed
from strokes.polyline import (
    Floats,
    Polyline,
    arc_lengths,
    corners,
    cut,
    length,
    points_at,
    resample,
    tangents,
)
from strokes.simulation.pace import SPEED, Pace

WAVE = 0.2
"""Length of the waves of a shaking hand, in x-heights: five in the height of an x; ours, for tests."""

RATE = 60.0
"""Points a second, as a common touchscreen gives them."""


@dataclass(frozen=True)
class Fault:
    """What the hand does wrong: the kind of finding it should bring, and where.

    `part` counts the pieces of the stroke between its corners; with None the whole stroke is meant.
    `other` is the letter that is written in place of the one asked for, with Kind.LETTER.
    """

    kind: Kind
    stroke: int = 0
    part: int | None = None
    amount: float | None = None
    other: Letter | None = None


def write(
    what: Letter | Formation,
    *,
    fault: Fault | None = None,
    seed: int = 0,
    tremor: float = 0.02,
    shake: float = 0.0,
    speed: float = SPEED,
) -> Ink:
    """Write a letter as it is taught, or a formation, in letter space with times, RATE points a second.

    `tremor` is the size of a slow, smooth wavering in x-heights, `shake` that of quick waves across the way
    of the pen, `WAVE` long. The same arguments give the same ink.
    Raises LetterError for a fault that this letter cannot have (order in a letter of one stroke).
    """
    formation = what.taught if isinstance(what, Letter) else what
    if fault is not None and fault.kind is Kind.LETTER:
        if fault.other is None:
            raise LetterError("a fault of kind letter must name the other letter, not none")
        formation, fault = fault.other.taught, None
    random = np.random.default_rng(seed)
    lines = [stroke.path for stroke in formation.strokes]
    if fault is not None:
        lines = _faulty(formation, fault)
    wandering = [_shaken(_wavered(line, tremor, random), shake) for line in lines]
    arrays, times, clock = [], [], 0.0
    for line, stamps in _paced(wandering, speed):
        arrays.append(line)
        times.append(stamps + clock)
    return Ink.from_arrays(arrays, times=times)


def _paced(lines: list[Polyline], speed: float) -> list[tuple[Polyline, Floats]]:
    pace = Pace(Formation("written", tuple(Stroke(line) for line in lines)), speed=speed)
    sampled = []
    for line, times in pace.traces():
        stamps = np.linspace(times[0], times[-1], max(2, int((times[-1] - times[0]) * RATE) + 1))
        sampled.append((np.column_stack([np.interp(stamps, times, axis) for axis in line.T]), stamps))
    return sampled


def _wavered(line: Polyline, size: float, random: np.random.Generator) -> Polyline:
    """`line` moved by smooth noise: three slow waves a direction, random in phase, `size` at most."""
    along = arc_lengths(line)
    stops = np.linspace(0.0, along[-1], max(2, int(along[-1] / 0.02) + 1))
    dense = points_at(line, along, np.union1d(stops, along))
    places = arc_lengths(dense)
    waves = np.zeros_like(dense)
    for axis in range(2):
        for _ in range(3):
            cycles, phase = random.uniform(0.3, 1.5), random.uniform(0, 2 * np.pi)
            waves[:, axis] += np.sin(2 * np.pi * cycles * places + phase) / 3
    return dense + size * waves


def _shaken(line: Polyline, size: float) -> Polyline:
    """`line` moved to its left and right by `size`, once in each `WAVE`."""
    if size == 0.0:
        return line
    count = max(2, int(length(line) / WAVE * 8) + 1)
    even = resample(line, count)
    waves = size * np.sin(np.arange(count) * (np.pi / 4))
    along = tangents(even)
    return np.column_stack([even[:, 0] - waves * along[:, 1], even[:, 1] + waves * along[:, 0]])


def _faulty(formation: Formation, fault: Fault) -> list[Polyline]:
    """The lines of the strokes with `fault` in them."""
    index, lines = fault.stroke, [stroke.path for stroke in formation.strokes]
    if not 0 <= index < len(lines):
        raise LetterError(f"the stroke of a fault must be one of the {len(lines)} strokes, not {index}")
    line = lines[index]
    match fault.kind:
        case Kind.START | Kind.DIRECTION | Kind.LIFT | Kind.SHAPE if formation.strokes[index].is_dot:
            raise LetterError(f"a fault of {fault.kind} must be in a line, and stroke {index} is a dot")
        case Kind.START:
            lines[index] = _moved_start(line, fault.amount or 0.6)
        case Kind.DIRECTION:
            lines[index] = line[::-1] if fault.part is None else _part_reversed(line, fault.part)
        case Kind.ORDER:
            if len(lines) < 2:
                raise LetterError("a fault of order must have two strokes to swap, not one")
            other = index + 1 if index + 1 < len(lines) else index - 1
            lines[index], lines[other] = lines[other], lines[index]
        case Kind.MISSING:
            if len(lines) < 2:
                raise LetterError("a fault of a missing stroke must leave one, and this letter has one")
            del lines[index]
        case Kind.EXTRA:
            right = max(float(line[:, 0].max()) for line in lines)
            lines.append(np.array([[right + 0.1, -0.3], [right + 0.5, -0.9]]))
        case Kind.JOIN:
            if index + 1 >= len(lines):
                raise LetterError(f"stroke {index} must have one after it to run into, and it is the last")
            lines[index : index + 2] = [np.vstack(lines[index : index + 2])]
        case Kind.LIFT:
            total = length(line)
            middle = total * (0.5 if fault.amount is None else fault.amount)
            lines[index : index + 1] = [cut(line, 0.0, middle - 0.05), cut(line, middle + 0.05, total)]
        case Kind.CLOSURE:
            ends = [end for stroke, end in touches(formation) if stroke == index]
            if not ends:
                raise LetterError(f"a fault of closure must be in a closed shape, and stroke {index} is open")
            lines[index] = _opened(line, ends[0])
        case Kind.SHAPE:
            lines[index] = _bent(line, fault.amount or 0.6)
        case Kind.SIZE:
            lines = [line * (fault.amount or 0.6) for line in lines]
        case Kind.PLACE:
            lines = [line + (0.0, -(fault.amount or 0.5)) for line in lines]
        case Kind.REVERSAL:
            every = np.vstack(lines)
            middle = float(every[:, 0].min() + every[:, 0].max())
            lines = [np.column_stack([middle - line[:, 0], line[:, 1]]) for line in lines]
        case _:
            raise LetterError(f"the hand knows no fault of kind {fault.kind!r}")
    return lines


def _moved_start(line: Polyline, amount: float) -> Polyline:
    """Begun `amount` further along; a loop still goes all the way round, another line lacks the piece."""
    total = length(line)
    later = cut(line, amount, total)
    if closed(line):
        return np.vstack([later, cut(line, 0.0, amount)])
    return later


def _pieces(line: Polyline) -> list[Polyline]:
    stops = np.concatenate([[0.0], corners(line), [length(line)]])
    return [cut(line, first, last) for first, last in pairwise(stops)]


def _part_reversed(line: Polyline, part: int) -> Polyline:
    pieces = _pieces(line)
    if not 0 <= part < len(pieces):
        raise LetterError(f"the part of a fault must be one of the {len(pieces)} pieces, not {part}")
    pieces[part] = pieces[part][::-1]
    return np.vstack(pieces)


def _opened(line: Polyline, end: int) -> Polyline:
    """A quarter of the loop is left out at the end that should close it: 0 for the start, -1 for the end."""
    pieces = _pieces(line)
    if end == 0:
        return cut(line, length(pieces[0]) / 4, length(line))
    return cut(line, 0.0, length(line) - length(pieces[-1]) / 4)


def _bent(line: Polyline, amount: float) -> Polyline:
    """Pushed sideways by a wave along it, so that it goes the same way and draws another shape."""
    dense = points_at(line, arc_lengths(line), np.linspace(0.0, length(line), 200))
    ahead = tangents(dense)
    sideways = np.column_stack([-ahead[:, 1], ahead[:, 0]])
    waves = np.sin(np.linspace(0.0, 2 * np.pi, 200))[:, None]
    return dense + amount * waves * sideways
