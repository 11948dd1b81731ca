"""Letters with marks: composed from a base letter and a mark, so that one more costs one line.

A mark is an SVG file as a letter is, in the folder `marks` of an alphabet, drawn around the point where it
meets a base. One that lies above that point is put on the base's top, one below it under its foot, and one on
both sides across its middle. In `alphabet.toml` a line of `[composed]` names the two, and may move the mark:

    "ä" = { base = "a", mark = "diaeresis" }
    "ł" = { base = "l", mark = "stroke", shift = [0.0, 0.1] }

Ink with a mark is not praised as its bare letter, with one exception: í where i was asked for. An accent is
as good a dot as many that are written: a quarter of adults' dots are longer than half an x-height.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Literal, TypeAlias

import numpy as np

from strokes.letter import Formation, Letter, Stroke
from strokes.polyline import Polyline, bounds

MARKS = "marks"
"""The folder in an alphabet's folder that holds its marks."""

LONGEST_MARK_NAME = 20
FARTHEST_SHIFT = 2.0
"""A mark is moved by no more than this, in x-heights: it would stand over the next letter."""

TAUGHT = "taught"
"""The id of a mark's way of writing that adds nothing to the name of the formation it follows."""

Place: TypeAlias = Literal["above", "across", "below"]

_SPAN = 0.5
"""The share of a base's height, next to the mark, whose middle the mark is put over: a tail at the other end
does not draw it aside."""


@dataclass(frozen=True)
class Composition:
    """How a letter is composed: the base, the mark, and by how much the mark is moved, in x-heights."""

    base: str
    mark: str
    shift: tuple[float, float] = (0.0, 0.0)


def compose(name: str, base: Letter, mark: Letter, shift: tuple[float, float] = (0.0, 0.0)) -> Letter:
    """The letter `name`: every formation of `base`, each way to write `mark` after it, the cues of both.

    The dot of an i goes where the mark stands above. A formation for one hand has no mark for the other
    hand, and one with a note has no mark with another note.
    """
    place = place_of(mark)
    forms = [_without_dot(formation) if place == "above" else formation for formation in base.formations]
    moved = np.add(_anchor(forms[0].strokes, place), shift)
    formations = [
        _with_mark(formation, way, moved)
        for formation in forms
        for way in mark.formations
        if not (formation.hand and way.hand and formation.hand != way.hand)
        if not (formation.note and way.note and formation.note is not way.note)
    ]
    return Letter(name, tuple(formations), base=base.name)


def place_of(mark: Letter) -> Place:
    """Where a mark stands at its base: on which side of its own origin it lies."""
    _, top, _, bottom = mark.taught.bounds
    return "above" if bottom <= 0 else "below" if top >= 0 else "across"


def _without_dot(formation: Formation) -> Formation:
    strokes = tuple(stroke for stroke in formation.strokes if not stroke.is_dot)
    return Formation(formation.name, strokes or formation.strokes, formation.hand, formation.note)


def _anchor(strokes: Sequence[Stroke], place: Place) -> Polyline:
    """Where the origin of a mark comes to lie: over the middle of what is next to it."""
    every = np.vstack([stroke.path for stroke in strokes])
    _, top, _, bottom = bounds(every)
    y = {"above": top, "across": (top + bottom) / 2, "below": bottom}[place]
    near = every[np.abs(every[:, 1] - y) <= _SPAN * (bottom - top) + 1e-9]
    left, _, right, _ = bounds(near)
    return np.array([(left + right) / 2, y])


def _with_mark(formation: Formation, way: Formation, moved: Polyline) -> Formation:
    added = tuple(stroke.moved(moved) for stroke in way.strokes)
    name = formation.name if way.name == TAUGHT else f"{formation.name}, {way.name}"
    return Formation(
        name, (*formation.strokes, *added), formation.hand or way.hand, formation.note or way.note
    )
