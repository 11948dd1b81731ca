"""What the record counts, as plain types: the numbers that a summary is made of."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import date, datetime

from strokes.report import Kind


@dataclass(frozen=True)
class Count:
    """How one pupil wrote one letter in the days that were asked for.

    Tries are by copy or from memory; `overruled` ones among them count by the teacher's word. `first`
    and `last` are of finished attempts, traced ones among them, and None where all were broken off.
    """

    pupil: int
    letter: str
    tries: int
    formed: int
    looks: int
    recalled: int
    recalled_formed: int
    traced: int
    broken: int
    overruled: int
    first: datetime | None
    last: datetime | None


@dataclass(frozen=True)
class Sight:
    """In how many tries of one pupil at one letter a kind was found, or noted, and when last.

    `instead` gives for the kind letter how often each other letter was written in its place.
    """

    pupil: int
    letter: str
    kind: Kind
    note: bool
    tries: int
    last: datetime
    instead: Mapping[str, int] = field(default_factory=dict)


@dataclass(frozen=True)
class Lately:
    """What the last few tries of one pupil at one letter showed: in how many of them each kind was found."""

    pupil: int
    letter: str
    tries: int
    formed: int
    kinds: Mapping[Kind, int] = field(default_factory=dict)
    instead: Mapping[str, int] = field(default_factory=dict)


@dataclass(frozen=True)
class Day:
    """The tries of one pupil on one day, on the calendar of the place where they were written."""

    pupil: int
    day: date
    tries: int
    formed: int
    looks: int


@dataclass(frozen=True)
class Counts:
    """All that a summary is made of. `practiced` is each pupil's last finished attempt of all days."""

    counts: tuple[Count, ...] = ()
    sights: tuple[Sight, ...] = ()
    lately: tuple[Lately, ...] = ()
    days: tuple[Day, ...] = ()
    practiced: Mapping[int, datetime] = field(default_factory=dict)
