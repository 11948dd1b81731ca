"""A letter from the ink of somebody who wrote it once or several times."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from functools import partial
from typing import TypeVar
from unicodedata import normalize

import numpy as np

from strokes.curves import Curves
from strokes.errors import LetterError
from strokes.files import MOST_STROKES, REACH, SMALLEST_LETTER, wrong_name
from strokes.ink import Ink
from strokes.letter import Formation, GuideLines, Letter, Stroke
from strokes.modeling.averaging import average
from strokes.modeling.fitting import ERROR, checked_error, fit_pieces, is_tap, stroke_pieces
from strokes.modeling.snapping import REACH as SNAP_REACH
from strokes.modeling.snapping import snap
from strokes.polyline import Polyline, bounds, resample

Given = TypeVar("Given")
Result = TypeVar("Result")

_PLACES = 200
"""Places along a stroke at which another one may end: the longest letters have one every 0.04 x-heights."""

MOST_TRIES = 50
"""Tries that are averaged: more than anybody writes at once."""


def letter_from_ink(
    name: str,
    inks: Ink | Iterable[Ink],
    *,
    error: float = ERROR,
    guide: GuideLines | None = None,
    cues: Sequence[str] = (),
    in_place: bool = False,
) -> Letter:
    """The letter `name` with one formation, each trace of the ink a stroke, in the order it was written.

    `guide` are the lines in the ink's own space, and the left edge of the letter becomes x = 0, or with
    `in_place` stays where it was written; without them the ink is in letter space already and stays where it
    is. Several inks are tries at the same formation and
    are averaged. `error` is how far the curves may be from the smoothed ink, in x-heights; ends that clearly
    mean a guide line, another end or another stroke are put there. `cues` are said, one a stroke.

    Raises LetterError in one sentence for ink that no letter has: none, one tap, a scribble, strokes off the
    lines, tries that do not go together.
    """
    checked_error(error)
    name = normalize("NFC", name)
    if wrong := wrong_name(name) if name else "the letter's name must be given":
        raise LetterError(wrong)
    tries = [_in_letter_space(ink, guide) for ink in _checked(inks)]
    strokes = average(tries)
    if len(cues) not in (0, len(strokes)):
        raise LetterError(f"there must be a cue for each of the {len(strokes)} strokes, not {len(cues)}")
    smoothed = [_of_stroke(number, stroke_pieces, line) for number, line in enumerate(strokes, 1)]
    pieces = snap(smoothed, _in_x_heights(guide or GuideLines()), max(error, SNAP_REACH))
    if guide is not None and not in_place:
        left = min(float(piece[:, 0].min()) for stroke in pieces for piece in stroke)
        pieces = [[piece - (left, 0.0) for piece in stroke] for stroke in pieces]
    _sane(pieces)
    fitted = [
        _of_stroke(number, partial(fit_pieces, error=error), stroke)
        for number, stroke in enumerate(pieces, 1)
    ]
    said = cues or [""] * len(fitted)
    drawn = tuple(Stroke.of(curves, cue) for curves, cue in zip(fitted, said, strict=True))
    return Letter(name, (Formation("taught", drawn),))


def strokes_from_ink(
    strokes: Sequence[Polyline | Curves], *, guide: GuideLines, error: float = ERROR
) -> list[Curves]:
    """The curves of a letter's strokes in letter space, of which some, as points (n, 2), are still ink.

    Ends of ink are put where they clearly belong, as `letter_from_ink` does; strokes that are curves already
    stay as they are. What is no letter yet, as the dot of an i, is taken too. Raises LetterError as
    `fit_stroke` does, and says of which stroke.
    """
    error = checked_error(error)
    stay = [[resample(stroke.polyline(), _PLACES)] for stroke in strokes if isinstance(stroke, Curves)]
    ink = {
        number: _of_stroke(number, stroke_pieces, stroke)
        for number, stroke in enumerate(strokes, 1)
        if not isinstance(stroke, Curves)
    }
    placed = snap(list(ink.values()), guide, max(error, SNAP_REACH), stay)
    fitted = {
        number: _of_stroke(number, partial(fit_pieces, error=error), pieces)
        for number, pieces in zip(ink, placed, strict=True)
    }
    return [
        stroke if isinstance(stroke, Curves) else fitted[number] for number, stroke in enumerate(strokes, 1)
    ]


def _checked(inks: Ink | Iterable[Ink]) -> list[Ink]:
    """The tries, each with ink in it."""
    tries = [inks] if isinstance(inks, Ink) else list(inks)
    if not 1 <= len(tries) <= MOST_TRIES:
        raise LetterError(f"there must be 1 to {MOST_TRIES} tries, not {len(tries)}")
    for number, ink in enumerate(tries, 1):
        if not 1 <= len(ink) <= MOST_STROKES:
            raise LetterError(f"try {number} must have 1 to {MOST_STROKES} strokes, not {len(ink)}")
    return tries


def _in_letter_space(ink: Ink, guide: GuideLines | None) -> list[Polyline]:
    """The traces in letter space, where all of a try must be one letter and no more than that."""
    if guide is not None:
        ink = ink.transformed(guide.to_letter_space())
    lines = [trace.points for trace in ink.traces]
    if all(map(is_tap, lines)):
        raise LetterError("a letter must be more than a tap")
    return lines


def _in_x_heights(guide: GuideLines) -> GuideLines:
    """The lines in letter space."""
    return GuideLines(ascender=-guide.above, descender=guide.below)


def _sane(pieces: Sequence[Sequence[Polyline]]) -> None:
    """Refuses what no file of a letter may hold."""
    left, top, right, bottom = bounds(np.vstack([piece for stroke in pieces for piece in stroke]))
    if max(abs(left), abs(top), abs(right), abs(bottom)) > REACH:
        far = max((abs(value), value) for value in (left, top, right, bottom))[1]
        raise LetterError(
            f"the letter must lie within {REACH:g} x-heights of where the base line begins, not {far:.1f} "
            "off: are these the guide lines it was written between?"
        )
    side = max(right - left, bottom - top)
    if side < SMALLEST_LETTER:
        raise LetterError(
            f"the letter must be at least {SMALLEST_LETTER:g} x-heights tall or wide, not {side:.2f}"
        )


def _of_stroke(number: int, work: Callable[[Given], Result], what: Given) -> Result:
    """The result of `work`; what is wrong is told of stroke `number`."""
    try:
        return work(what)
    except LetterError as error:
        raise LetterError(f"stroke {number}: {error}") from error
