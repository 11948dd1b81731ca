"""What an address asks a page to show: a group, a pupil, a set of letters."""

from __future__ import annotations

from collections.abc import Collection, Sequence
from typing import NoReturn

from flask import abort, request

from strokes.letter import LetterSet
from trainer.attempt import Pupil

LONGEST_NUMBER = 10
"""Digits of the largest number that a row of the record may have."""


def missing() -> NoReturn:
    """Answers for somebody or something that is not there: 404, and 410 to a form, whose page had it."""
    abort(410 if request.method == "POST" else 404)


def group(groups: Sequence[str]) -> str | None:
    """The group that is asked for by `?group=`, None for the whole class; `missing` for one that is not."""
    name = request.args.get("group") or None
    if name is not None and name not in groups:
        missing()
    return name


def pupil(pupils: Sequence[Pupil]) -> Pupil | None:
    """The pupil that is asked for by `?pupil=`; `missing` for one that is not there."""
    number = request.args.get("pupil") or None
    if number is None:
        return None
    for other in pupils:
        if str(other.id) == number:
            return other
    missing()


def number(typed: str) -> int | None:
    """A whole number that a form sends; None for anything else, and for more digits than any number has."""
    return int(typed) if typed.isdecimal() and len(typed) <= LONGEST_NUMBER else None


def one_of(names: Sequence[str], key: str) -> str:
    """The one of `names` that `?key=` asks for; the first one where it asks for none of them."""
    name = request.args.get(key, "")
    return name if name in names else names[0]


def letter_set(sets: Collection[LetterSet]) -> LetterSet | None:
    """The one of `sets` that `?set=` asks for, else the first of them; None where there is none."""
    return next((name for name in sets if name == request.args.get("set")), next(iter(sets), None))
