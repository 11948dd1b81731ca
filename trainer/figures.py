"""The record's figures: the summary of the class, a group or a pupil, read from the running counts."""

from __future__ import annotations

from collections import Counter, defaultdict
from collections.abc import Iterable, Iterator, Sequence
from datetime import date, datetime
from types import MappingProxyType
from typing import Any, TypeAlias

from sqlalchemy import ColumnElement, Connection, Join, Select, Table, and_, func, literal, select, text

from strokes.letter import Family
from strokes.report import Kind
from trainer import rows
from trainer.attempt import Pupil
from trainer.counts import Count, Counts, Day, Lately, Sight
from trainer.pupils import Pupils
from trainer.spans import EVERY_DAY, cover
from trainer.summary import Summary, Week, summed_up, trend
from trainer.tables import attempt, finding, overruling, tally, tally_finding
from trainer.tables import pupil as person
from trainer.tallying import EVERY_LETTER, formed, recount, stands, together
from trainer.tries import LATELY

_TRY = text("one.finished AND one.step IN ('copy', 'recall')")
"""`tallying.is_try`, word for word as in the index `attempt_try`: else SQLite does not see that it serves."""

_KINDS = {kind.value: kind for kind in Kind}
_NONE: MappingProxyType[str, int] = MappingProxyType({})

Days: TypeAlias = tuple[date, date]
"""The first and the last of some days, both among them."""


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
        found: bool = True,
        lately: bool = True,
    ) -> Summary:
        """The figures of all, of a group or of one pupil, from the day of `since` to that of `until`.

        Both days are counted in. Archived pupils are left out unless asked for by number. Letters of
        one of the `families` may share a group to gather. A page that does not tell what was `found`, or
        not what the last tries showed and whom to gather, gets its summary sooner without.
        """
        pupils: tuple[Pupil, ...] = self.pupils(group)
        if pupil is not None:
            pupils = tuple(one for one in self.pupils(archived=True) if one.id == pupil)
        days = _days(since, until)
        with self._database.reading() as connection:
            counts = _counts(connection, [one.id for one in pupils], days, found=found, lately=lately)
        return summed_up(counts, pupils, families)

    def trend(self, group: str | None = None) -> tuple[Week, ...]:
        """The `trend` of the summary of all or of a group, alone and sooner."""
        with self._database.reading() as connection:
            return trend(_by_day(connection, [one.id for one in self.pupils(group)], None))

    def recount(self) -> None:
        """Count the whole record anew. Nothing needs it but a record that was changed by other means."""
        with self._database.writing(durable=True) as connection:
            recount(connection)


def _days(since: datetime | date | None, until: datetime | date | None) -> Days | None:
    """The days from the one to the other; None for all of them."""
    if since is None and until is None:
        return None
    return _day(since, date.min), _day(until, date.max)


def _day(moment: datetime | date | None, otherwise: date) -> date:
    if isinstance(moment, datetime):
        return date.fromisoformat(rows.day_of(moment))
    return moment or otherwise


def _counts(
    connection: Connection, pupils: Sequence[int], days: Days | None, *, found: bool, lately: bool
) -> Counts:
    """The counts of these pupils, of all days or from the first to the second one."""
    spans = _spans(connection, pupils, days)
    return Counts(
        tuple(map(_count, connection.execute(_summed(tally, pupils, spans)))),
        tuple(_sights(connection, pupils, spans)) if found else (),
        tuple(_lately(connection, pupils, days)) if lately else (),
        tuple(_by_day(connection, pupils, days)),
        _practiced(connection, pupils),
    )


def _spans(connection: Connection, pupils: Sequence[int], days: Days | None) -> tuple[str, ...]:
    """The names of the spans that make up these days."""
    if days is None:
        return (EVERY_DAY,)
    whose = and_(tally.c.pupil == person.c.id, tally.c.letter == EVERY_LETTER)
    first, last = (
        select(tally.c.day).where(whose).order_by(order).limit(1).scalar_subquery()
        for order in (tally.c.day.asc(), tally.c.day.desc())
    )
    ends = select(func.min(first), func.max(last)).where(person.c.id.in_(pupils))
    outermost = [date.fromisoformat(day) for day in connection.execute(ends).one() if day]
    return cover(*days, *outermost) if outermost else ()


def _summed(table: Table, pupils: Sequence[int], spans: Sequence[str]) -> Select[Any]:
    """The counts of these pupils in all of the spans together."""
    of = and_(table.c.pupil.in_(pupils), table.c.day.in_(spans), table.c.letter != EVERY_LETTER)
    if len(spans) == 1:
        return select(table).where(of)
    # first found, then summed up: in one step SQLite would go through all days of the pupils
    chosen = select(table).where(of).cte().prefix_with("MATERIALIZED")
    return together(chosen, {"day": literal(EVERY_DAY)})


def _count(row: Any) -> Count:
    pupil, letter, _, *numbers, first, last = row
    return Count(pupil, letter, *numbers, first and rows.moment(first), last and rows.moment(last))


def _practiced(connection: Connection, pupils: Sequence[int]) -> dict[int, datetime]:
    """The last finished attempt of each pupil."""
    query = select(tally.c.pupil, func.max(tally.c.last_at)).group_by(tally.c.pupil)
    last = connection.execute(query.where(tally.c.pupil.in_(pupils), tally.c.day == EVERY_DAY))
    return {pupil: rows.moment(at) for pupil, at in last if at}


def _sights(connection: Connection, pupils: Sequence[int], spans: Sequence[str]) -> Iterator[Sight]:
    """What was found; thousands of rows, so that little is done for each."""
    table = tally_finding
    found = connection.execute(_summed(table, pupils, spans)).all()
    instead: dict[Any, dict[str, int]] = defaultdict(dict)
    for pupil, letter, _, kind, note, other, tries, _ in found:
        if other:
            instead[pupil, letter, kind, note][other] = tries
    for pupil, letter, _, kind, note, other, tries, last in found:
        if not other:
            named = instead.get((pupil, letter, kind, note), _NONE) if instead else _NONE
            yield Sight(pupil, letter, _KINDS[kind], note, tries, rows.moment(last), named)


def _by_day(connection: Connection, pupils: Sequence[int], days: Days | None) -> Iterator[Day]:
    query = select(tally.c.pupil, tally.c.day, tally.c.tries, tally.c.formed, tally.c.looks)
    query = query.where(tally.c.pupil.in_(pupils), tally.c.letter == EVERY_LETTER)
    if days is not None:
        query = query.where(_between(tally.c.day, days))
    for pupil, day, *numbers in connection.execute(query):
        yield Day(pupil, date.fromisoformat(day), *numbers)


def _between(day: ColumnElement[str], days: Days) -> ColumnElement[bool]:
    return day.between(days[0].isoformat(), days[1].isoformat())


def _lately(connection: Connection, pupils: Sequence[int], days: Days | None) -> Iterator[Lately]:
    """What the last tries of each pupil at each letter showed: each try is a row for each of its findings."""
    shown = and_(finding.c.attempt == attempt.c.id, finding.c.note.is_(False), stands)
    last = _last_tries(days).outerjoin(overruling, overruling.c.attempt == attempt.c.id)
    query = select(
        attempt.c.pupil, attempt.c.letter, attempt.c.id, formed, finding.c.kind, finding.c.other_letter
    )
    query = query.select_from(last.outerjoin(finding, shown))
    query = query.where(_WRITTEN.c.pupil.in_(pupils), _WRITTEN.c.day == EVERY_DAY, _WRITTEN.c.tries > 0)
    tries: dict[tuple[int, str], dict[int, bool]] = defaultdict(dict)
    found: dict[tuple[int, str], set[Any]] = defaultdict(set)
    for pupil, letter, number, well, kind, other in connection.execute(query):
        tries[pupil, letter][number] = well
        if kind is not None:
            found[pupil, letter].add((number, kind, other))
    for (pupil, letter), wells in tries.items():
        kinds, instead = _seen(found[pupil, letter])
        yield Lately(pupil, letter, len(wells), sum(wells.values()), kinds, instead)


def _seen(found: Iterable[tuple[int, str, str | None]]) -> tuple[Counter[Kind], Counter[str]]:
    """A kind counts once a try, and so does each letter that was written instead."""
    kinds = Counter(_KINDS[kind] for _, kind in {(number, kind) for number, kind, _ in found})
    return kinds, Counter(other for _, kind, other in found if other is not None and kind == Kind.LETTER)


_WRITTEN = tally.alias("written")
"""The letters that each pupil wrote."""


def _last_tries(days: Days | None) -> Join:
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
        last = last.where(_between(one.c.day, days))
    return _WRITTEN.join(attempt, attempt.c.id.in_(last))
