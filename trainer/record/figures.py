"""The record's figures: the summary of the class, a group or a pupil, read from the counters."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator, Sequence
from datetime import date, datetime
from types import MappingProxyType
from typing import Any

from sqlalchemy import (
    ColumnElement,
    Connection,
    FromClause,
    ScalarSelect,
    Select,
    Table,
    and_,
    case,
    func,
    select,
)

from strokes.kinds import Kind
from trainer.record import counters, last_tries, mappers, tables
from trainer.record.counters import EVERY_LETTER, of_every_day, recount, subject
from trainer.record.database import Database
from trainer.record.day_span import Days, between
from trainer.record.pupils import Pupils
from trainer.record.tables import (
    COUNTED,
    attempt,
    counter,
    counter_so_far,
    finding_counter,
    finding_counter_so_far,
    overruling,
)
from trainer.teaching import (
    Count,
    Counts,
    Day,
    FamiliesOf,
    OverTime,
    Sight,
    Summary,
    Week,
    Written,
    letters_over_time,
    no_families,
    periods,
    summed_up,
    trend,
)

_KINDS = {kind.value: kind for kind in Kind}
_NONE: MappingProxyType[str, int] = MappingProxyType({})

_EVER = date.max.isoformat()


class Figures:
    """The figures of the desk and of `trainer summary`."""

    def __init__(self, database: Database, pupils: Pupils) -> None:
        self._database = database
        self._pupils = pupils

    def summary(
        self,
        group: str | None = None,
        *,
        pupil: int | None = None,
        since: datetime | date | None = None,
        until: datetime | date | None = None,
        families: FamiliesOf = no_families,
        order: Sequence[str] = (),
        findings: bool = True,
        lately: bool = True,
        other: bool = True,
    ) -> Summary:
        """The figures of all, of a group or of one pupil, from the day of `since` to that of `until`.

        Both days are counted in. Archived pupils are left out unless asked for by number. Letters of
        one of the `families` that a group writes may share a group to gather; the lines follow `order`, the
        teaching order. A page that shows no `findings`, or neither what the last tries showed (`lately`) nor
        whom to gather, or no `other` needs, for which ink is read, gets its summary sooner without.
        """
        pupils = self._pupils.find(group)
        if pupil is not None:
            pupils = tuple(filter(None, [self._pupils.get(pupil)]))
        days = _days(since, until)
        with self._database.naming("a date or a kind in the counts"), self._database.reading() as connection:
            numbers = [pupil.id for pupil in pupils]
            counts = _counts(connection, numbers, days, findings=findings, lately=lately, other=other)
        return summed_up(counts, pupils, families, order)

    def last_tries(self, group: str | None = None, *, order: Sequence[str] = ()) -> Summary:
        """The summary of all or of a group from each pupil's last tries at each letter alone.

        It has no weeks, and nothing of traced or unfinished letters.
        """
        pupils = self._pupils.find(group)
        with self._database.reading() as connection:
            counts = last_tries.counted(connection, [pupil.id for pupil in pupils])
        return summed_up(counts, pupils, order=order)

    def trend(self, group: str | None = None) -> tuple[Week, ...]:
        """The `trend` of the summary of all or of a group, alone and sooner."""
        pupils = [pupil.id for pupil in self._pupils.find(group)]
        with self._database.naming("a date in the counts"), self._database.reading() as connection:
            return trend(_by_day(connection, pupils, None))

    def tries_since(self, pupil: int, letter: str, moment: datetime) -> tuple[int, int]:
        """How many tries at a letter were well formed after a moment, and how many there were."""
        tried = counters.is_try, attempt.c.pupil == pupil, attempt.c.letter == letter
        later = attempt.c.day >= mappers.day_of(moment), attempt.c.at > mappers.stamp(moment)
        well = func.sum(case((counters.formed.is_(True), 1), else_=0))
        query = select(func.coalesce(well, 0), func.count()).outerjoin_from(attempt, overruling)
        with self._database.reading() as connection:
            formed, tries = connection.execute(query.where(*tried, *later)).one()
        return int(formed), int(tries)

    def over_time(
        self,
        group: str | None = None,
        *,
        pupil: int | None = None,
        since: date | None = None,
        until: date,
        order: Sequence[str] = (),
    ) -> OverTime:
        """What became secure when, of all, of a group or of one pupil, from `since` or the first day on.

        Both days are counted in; `order` is the teaching order. Archived pupils are left out unless asked
        for by number. The cost goes by the weeks, and not by how much was written in them.
        """
        numbers = [pupil] if pupil is not None else [each.id for each in self._pupils.find(group)]
        with self._database.naming("a date in the counts"), self._database.reading() as connection:
            every = periods(since or _first_day(connection, numbers) or until, until)
            period_tries = tuple(last_tries.period_tries(connection, numbers, every)) if every else ()
        return letters_over_time(period_tries, every, order, pupils=len(numbers) if pupil is None else None)

    def recount(self) -> None:
        """Count the whole record anew. Nothing needs it but a record that was changed by other means."""
        with self._database.writing(durable=True, unhurried=True) as connection:
            recount(connection)


def _first_day(connection: Connection, pupils: Sequence[int]) -> date | None:
    """The first day on which one of these pupils wrote; None where nobody did."""
    written = counter.c.letter == EVERY_LETTER, ~of_every_day(counter), counter.c.pupil.in_(pupils)
    first = connection.scalar(select(func.min(counter.c.day)).where(*written))
    return date.fromisoformat(first) if first else None


def _days(since: datetime | date | None, until: datetime | date | None) -> Days | None:
    """The days from the one to the other; None for all of them."""
    if since is None and until is None:
        return None
    return _day(since, date.min), _day(until, date.max)


def _day(moment: datetime | date | None, otherwise: date) -> date:
    if isinstance(moment, datetime):
        return date.fromisoformat(mappers.day_of(moment))
    return moment or otherwise


def _counts(
    connection: Connection,
    pupils: Sequence[int],
    days: Days | None,
    *,
    findings: bool,
    lately: bool,
    other: bool,
) -> Counts:
    """The counts of these pupils, of all days or from the first to the second one."""
    return Counts(
        tuple(map(_count, connection.execute(_counts_of(pupils, days)))),
        tuple(_sights(connection, pupils, days)) if findings else (),
        tuple(last_tries.lately(connection, pupils, days)) if lately else (),
        tuple(_by_day(connection, pupils, days)),
        _practiced(connection, pupils),
        tuple(last_tries.steadiness(connection, pupils)) if other else (),
        tuple(_written(connection, pupils)) if other else (),
    )


def _counted(table: Table, pupils: Sequence[int]) -> Select[Any]:
    """The rows that hold all days of these pupils, letter by letter."""
    query = select(*(column for column in table.c if column.name != "day"))
    return query.where(table.c.pupil.in_(pupils), of_every_day(table), table.c.letter != EVERY_LETTER)


def _counts_of(pupils: Sequence[int], days: Days | None) -> Select[Any]:
    """How the pupils wrote their letters in these days: a Count a row."""
    query = _counted(counter, pupils)
    if days is None:
        return query
    on = counter.alias("on_day")
    in_days = and_(*_same(on, counter), between(on.c.day, days))
    ends = (
        select(column).where(in_days, column.is_not(None)).order_by(order).limit(1).scalar_subquery()
        for column, order in ((on.c.first_at, on.c.day.asc()), (on.c.last_at, on.c.day.desc()))
    )
    counts = [_growth(counter, counter_so_far, name, days) for name in COUNTED]
    grown = query.with_only_columns(counter.c.pupil, counter.c.letter, *counts, *ends)
    return grown.where(_any(counter, counter_so_far, days))


def _growth(table: Table, so_far: Table, name: str, days: Days) -> ColumnElement[int]:
    """By how much a count grew in these days."""
    since, until = map(date.isoformat, days)
    before = _last(table, so_far, name, so_far.c.day < since)
    return _until(table, so_far, name, until) - func.coalesce(before, 0)


def _until(table: Table, so_far: Table, name: str, until: str) -> ColumnElement[Any]:
    """What a column says at the end of a day; the row of all days knows it where nothing comes after."""
    return table.c[name] if until == _EVER else _last(table, so_far, name, so_far.c.day <= until)


def _last(table: Table, so_far: Table, name: str, which: ColumnElement[bool]) -> ScalarSelect[Any]:
    query = select(so_far.c[name]).where(*_same(so_far, table), which).order_by(so_far.c.day.desc())
    return query.limit(1).correlate(table).scalar_subquery()


def _any(table: Table, so_far: Table, days: Days) -> ColumnElement[bool]:
    """Whether there is anything to count in these days."""
    query = select(so_far.c.day).where(*_same(so_far, table), between(so_far.c.day, days))
    return query.correlate(table).exists()


def _same(row: FromClause, table: Table) -> list[ColumnElement[bool]]:
    """That a row is about the same as one of the table."""
    return [row.c[name] == table.c[name] for name in subject(table)]


def _count(row: Any) -> Count:
    pupil, letter, *counted = row
    ends = (end and mappers.moment(end) for end in counted[-2:])
    return Count(pupil, letter, *counted[:-2], *ends)


def _practiced(connection: Connection, pupils: Sequence[int]) -> dict[int, datetime]:
    """The last finished attempt of each pupil."""
    query = select(counter.c.pupil, func.max(counter.c.last_at)).group_by(counter.c.pupil)
    last = connection.execute(query.where(counter.c.pupil.in_(pupils), of_every_day(counter)))
    return {pupil: mappers.moment(at) for pupil, at in last if at}


def _written(connection: Connection, pupils: Sequence[int]) -> Iterator[Written]:
    """The letters of everybody in their groups, archived pupils left out; those seen on paper among them."""
    pupil = tables.pupil
    groups = select(pupil.c.class_group).where(pupil.c.id.in_(pupils))
    members = pupil.c.class_group.in_(groups), pupil.c.archived.is_(False)
    group_of = dict(connection.execute(select(pupil.c.id, pupil.c.class_group).where(*members)).all())
    finished = _counted(counter, list(group_of)).with_only_columns(counter.c.pupil, counter.c.letter)
    letters: dict[int, set[str]] = defaultdict(set)
    for number, letter in connection.execute(finished.where(counter.c.last_at.is_not(None))):
        letters[number].add(letter)
    on_paper = select(tables.observation.c.pupil, tables.observation.c.letter).distinct()
    for number, letter in connection.execute(on_paper.where(tables.observation.c.pupil.in_(list(group_of)))):
        letters[number].add(letter)
    for number, group in group_of.items():
        yield Written(number, group, frozenset(letters[number]))


def _sights(connection: Connection, pupils: Sequence[int], days: Days | None) -> Iterator[Sight]:
    """How often each kind was found; thousands of rows, so that little is done for each."""
    query = _counted(finding_counter, pupils)
    if days is not None:
        both = finding_counter, finding_counter_so_far
        ends = _growth(*both, "tries", days), _until(*both, "last_at", days[1].isoformat())
        key = [finding_counter.c[name] for name in subject(finding_counter)]
        query = query.with_only_columns(*key, *ends).where(_any(*both, days))
    other = finding_counter.c.other_letter
    instead: dict[Any, dict[str, int]] = defaultdict(dict)
    for *sight, letter, tries, _ in connection.execute(query.where(other != "")):
        instead[tuple(sight)][letter] = tries
    for pupil, letter, kind, note, _, tries, last in connection.execute(query.where(other == "")):
        named = instead.get((pupil, letter, kind, note), _NONE) if instead else _NONE
        yield Sight(pupil, letter, _KINDS[kind], note, tries, mappers.moment(last), named)


def _by_day(connection: Connection, pupils: Sequence[int], days: Days | None) -> Iterator[Day]:
    query = select(*(counter.c[name] for name in ("pupil", "day", "tries", "formed", "mended", "looks")))
    query = query.where(counter.c.pupil.in_(pupils), counter.c.letter == EVERY_LETTER)
    if days is not None:
        query = query.where(between(counter.c.day, days))
    for pupil, day, *numbers in connection.execute(query):
        yield Day(pupil, date.fromisoformat(day), *numbers)
