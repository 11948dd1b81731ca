"""What the record counts, as plain tuples: the numbers that a summary is made of, thousands of them."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import date, datetime
from types import MappingProxyType
from typing import NamedTuple

from strokes.kinds import Kind


class Count(NamedTuple):
    """How one pupil wrote one letter in the days that were asked for.

    Tries are by copy or from memory: well `formed` at the first try, `mended` after a stroke was shown
    again, or neither; `overruled` ones among them count by the teacher's verdict,
    and those `in_words` were written as part of a word. `first` and `last` are of
    finished attempts, traced ones among them, and None where all were broken off.
    """

    pupil: int
    letter: str
    tries: int
    formed: int
    mended: int
    looks: int
    recalled: int
    recalled_formed: int
    traced: int
    broken: int
    overruled: int
    in_words: int
    in_words_formed: int
    first: datetime | None
    last: datetime | None


class Sight(NamedTuple):
    """In how many tries of one pupil at one letter a kind was found, or noted, and when last.

    `instead` gives for the kind letter how often each other letter was written in its place.
    """

    pupil: int
    letter: str
    kind: Kind
    note: bool
    tries: int
    last: datetime
    instead: Mapping[str, int] = MappingProxyType({})


class Lately(NamedTuple):
    """What the last few tries of one pupil at one letter showed: in how many of them each kind was found."""

    pupil: int
    letter: str
    tries: int
    formed: int
    kinds: Mapping[Kind, int] = MappingProxyType({})
    instead: Mapping[str, int] = MappingProxyType({})


class Day(NamedTuple):
    """The tries of one pupil on one day, on the calendar of the place where they were written."""

    pupil: int
    day: date
    tries: int
    formed: int
    mended: int
    looks: int


class Steadiness(NamedTuple):
    """How the pen ran in one try: `other_needs.wobble` and `pause` of its ink, None where it has none."""

    pupil: int
    attempt: int
    letter: str
    wobble: float | None
    pause: float | None


class Written(NamedTuple):
    """Which letters one pupil of a group ever finished, traced ones and those seen on paper among them."""

    pupil: int
    group: str
    letters: frozenset[str]


class Counts(NamedTuple):
    """All that a summary is made of. `practiced` is each pupil's last finished attempt of all days.

    `last` are the last tries of each pupil, newest first, and `written` everybody in the groups of these
    pupils, both of all days.
    """

    counts: tuple[Count, ...] = ()
    sights: tuple[Sight, ...] = ()
    lately: tuple[Lately, ...] = ()
    days: tuple[Day, ...] = ()
    practiced: Mapping[int, datetime] = MappingProxyType({})
    last: tuple[Steadiness, ...] = ()
    written: tuple[Written, ...] = ()
