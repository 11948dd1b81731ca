"""The record's figures: the summary of the class, a group or a pupil, read from the running counts."""

from __future__ import annotations

from collections import Counter, defaultdict
from collections.abc import Iterator, Sequence
from datetime import date, datetime
from typing import Any

from sqlalchemy import ColumnElement, Connection, Join, Row, Select, and_, case, func, select, text

from strokes.letter import Family
from strokes.report import Kind
from trainer import rows
from trainer.attempt import Pupil
from trainer.counts import Count, Counts, Day, Lately, Sight
from trainer.pupils import Pupils
from trainer.summary import Summary, summed_up
from trainer.tables import attempt, finding, overruling, tally, tally_finding
from trainer.tallying import COUNTED, EVERY_DAY, EVERY_LETTER, formed, recount, stands
from trainer.tries import LATELY

_TRY = text("one.finished AND one.step IN ('copy', 'recall')")
"""`tallying.is_try`, word for word as in the index `attempt_try`: else SQLite does not see that it serves."""


_KINDS = {kind.value: kind for kind in Kind}


class Figures(Pupils):
    """The part of the record that sums up."""

    def summary(
        self,
        group: str | None = None,
        *,
        pupil: int | None = None,
        since: datetime | date | None = None,
        until: datetime | date | None = None,
        families: Sequence[Family] = (),
    ) -> Summary:
        """The figures of all, of a group or of one pupil, from the day of `since` to that of `until`.

        Both days are counted in. Archived pupils are left out unless asked for by number. Letters of
        one of the `families` may share a group to gather.
        """
        pupils: tuple[Pupil, ...] = self.pupils(group)
        if pupil is not None:
            pupils = tuple(one for one in self.pupils(archived=True) if one.id == pupil)
        whose = [one.id for one in pupils]
        days = None if since is None and until is None else (_day(since, ""), _day(until, "9999-12-31"))
        with self._database.reading() as connection:
            counts = _counts(connection, whose, days)
        return summed_up(counts, pupils, families)

    def recount(self) -> None:
        """Count the whole record anew. Nothing needs it but a record that was changed by other means."""
        with self._database.writing(durable=True) as connection:
            recount(connection)


def _day(moment: datetime | date | None, otherwise: str) -> str:
    if moment is None:
        return otherwise
    return rows.day_of(moment) if isinstance(moment, datetime) else moment.isoformat()


def _counts(connection: Connection, pupils: Sequence[int], days: tuple[str, str] | None) -> Counts:
    """All counts of these pupils, of all days or from the first to the second one."""
    counts = _tallied(connection, pupils, days)
    ever = counts if days is None else _tallied(connection, pupils, None)
    practiced: dict[int, datetime] = {}
    for one in ever:
        if one.last is not None:
            practiced[one.pupil] = max(one.last, practiced.get(one.pupil, one.last))
    return Counts(
        counts,
        tuple(_sights(connection, pupils, days)),
        tuple(_lately(connection, pupils, days)),
        tuple(map(_day_from, connection.execute(_by_day(pupils, days)))),
        practiced,
    )


def _of(table: Any, pupils: Sequence[int], days: tuple[str, str] | None) -> ColumnElement[bool]:
    """The counts of these pupils: the one of all days, or those of the days from one to another."""
    when = table.c.day == EVERY_DAY if days is None else _between(table.c.day, days)
    return and_(table.c.pupil.in_(pupils), table.c.letter != EVERY_LETTER, when)


def _between(day: ColumnElement[str], days: tuple[str, str]) -> ColumnElement[bool]:
    return and_(day != EVERY_DAY, day.between(*days))


def _tallied(
    connection: Connection, pupils: Sequence[int], days: tuple[str, str] | None
) -> tuple[Count, ...]:
    numbers: list[ColumnElement[Any]] = [tally.c[name] for name in COUNTED]
    ends: list[ColumnElement[Any]] = [tally.c.first_at, tally.c.last_at]
    query = select(tally.c.pupil, tally.c.letter, *numbers, *ends)
    if days is not None:
        sums = [func.sum(tally.c[name]).label(name) for name in COUNTED]
        first, last = func.min(tally.c.first_at), func.max(tally.c.last_at)
        query = select(tally.c.pupil, tally.c.letter, *sums, first.label("first_at"), last.label("last_at"))
        query = query.group_by(tally.c.pupil, tally.c.letter)
    return tuple(map(_count, connection.execute(query.where(_of(tally, pupils, days)))))


def _count(row: Row[Any]) -> Count:
    first, last = (rows.moment(end) if end else None for end in (row.first_at, row.last_at))
    numbers: dict[str, int] = {name: getattr(row, name) for name in COUNTED}
    return Count(row.pupil, row.letter, first=first, last=last, **numbers)


def _sights(connection: Connection, pupils: Sequence[int], days: tuple[str, str] | None) -> Iterator[Sight]:
    table = tally_finding
    key = (table.c.pupil, table.c.letter, table.c.kind, table.c.note)
    query = select(*key, table.c.other_letter, func.sum(table.c.tries), func.max(table.c.last_at))
    query = query.group_by(*key, table.c.other_letter)
    if days is None:  # there is one row each
        query = select(*key, table.c.other_letter, table.c.tries, table.c.last_at)
    found = connection.execute(query.where(_of(table, pupils, days))).all()
    instead: dict[Any, dict[str, int]] = defaultdict(dict)
    for pupil, letter, kind, note, other, tries, _ in found:
        if other:
            instead[pupil, letter, kind, note][other] = tries
    for pupil, letter, kind, note, other, tries, last in found:
        if not other:
            named = instead.get((pupil, letter, kind, note), {})
            yield Sight(pupil, letter, _KINDS[kind], note, tries, rows.moment(last), named)


def _by_day(pupils: Sequence[int], days: tuple[str, str] | None) -> Select[Any]:
    query = select(tally.c.pupil, tally.c.day, tally.c.tries, tally.c.formed, tally.c.looks)
    when = _between(tally.c.day, days or ("", "9999-12-31"))
    return query.where(tally.c.pupil.in_(pupils), tally.c.letter == EVERY_LETTER, when)


def _day_from(row: Row[Any]) -> Day:
    pupil, day, tries, formed, looks = tuple(row)
    return Day(pupil, date.fromisoformat(day), tries, formed, looks)


def _lately(connection: Connection, pupils: Sequence[int], days: tuple[str, str] | None) -> Iterator[Lately]:
    """What the last tries of each pupil at each letter showed."""
    key, tries = (attempt.c.pupil, attempt.c.letter), func.count(attempt.c.id.distinct())
    last = _last_tries(days)
    judged = last.outerjoin(overruling, overruling.c.attempt == attempt.c.id)
    well = func.sum(case((formed.is_(True), 1), else_=0))
    chosen = and_(_WRITTEN.c.pupil.in_(pupils), _WRITTEN.c.day == EVERY_DAY, _WRITTEN.c.tries > 0)
    found = last.join(finding, finding.c.attempt == attempt.c.id)
    found = found.outerjoin(overruling, overruling.c.attempt == attempt.c.id)
    to_mend = and_(chosen, stands, finding.c.note.is_(False))
    kinds: dict[Any, Counter[Kind]] = defaultdict(Counter)
    instead: dict[Any, Counter[str]] = defaultdict(Counter)
    # a kind counts once a try, and so does each letter that was written instead
    seen = select(*key, attempt.c.id, finding.c.kind, finding.c.other_letter).select_from(found)
    shown = {tuple(row) for row in connection.execute(seen.where(to_mend))}
    for pupil, letter, _, kind in {row[:4] for row in shown}:
        kinds[pupil, letter][_KINDS[kind]] += 1
    for pupil, letter, _, kind, other in shown:
        if other is not None and kind == Kind.LETTER:
            instead[pupil, letter][other] += 1
    query = select(*key, tries, well).select_from(judged).where(chosen).group_by(*key)
    for pupil, letter, count, good in connection.execute(query):
        yield Lately(pupil, letter, count, good, kinds[pupil, letter], instead[pupil, letter])


_WRITTEN = tally.alias("written")
"""The letters that each pupil wrote."""


def _last_tries(days: tuple[str, str] | None) -> Join:
    """Each pupil's last tries at each letter: looked up in the index `attempt_try`, no scan."""
    one = attempt.alias("one")
    last = (
        select(one.c.id)
        .where(one.c.pupil == _WRITTEN.c.pupil, one.c.letter == _WRITTEN.c.letter, _TRY)
        .order_by(one.c.day.desc(), one.c.at.desc(), one.c.id.desc())
        .limit(LATELY)
        .correlate(_WRITTEN)
    )
    if days is not None:
        last = last.where(one.c.day.between(*days))
    return _WRITTEN.join(attempt, attempt.c.id.in_(last))
