"""The record's counters: written by the transaction that writes an attempt, so that reading them is cheap.

`counter` counts attempts by pupil, letter and day, `finding_counter` their findings. The rows of the
day '' hold the sum of all days, those of the letter '' in `counter` the sum of all letters of a day. Their
companions `_so_far` hold what was counted up to and with a day: the counts of any days in a row, few or
many, are the difference of two rows.

A change never adds to a count or takes from it: the days it touched are counted anew from their
attempts, which are few, and then the sums that they are part of. So the counts are right by the same
statements that count the whole record, whatever the change was.
"""

from __future__ import annotations

from collections.abc import Collection, Iterable, Iterator, Sequence
from typing import Any, TypeAlias

from sqlalchemy import (
    ColumnElement,
    Connection,
    Delete,
    Dialect,
    FromClause,
    Insert,
    Select,
    Table,
    and_,
    bindparam,
    case,
    delete,
    distinct,
    func,
    insert,
    literal,
    literal_column,
    or_,
    select,
    true,
)
from sqlalchemy.sql.compiler import SQLCompiler

from strokes.kinds import NOT_FORMED, NOT_RIGHT, Kind
from trainer.attempt import Step
from trainer.record.tables import (
    attempt,
    counter,
    counter_so_far,
    finding,
    finding_counter,
    finding_counter_so_far,
    overruling,
)

Cell: TypeAlias = tuple[int, str, str]
"""A pupil, a letter and a day."""

COUNTERS = (counter, finding_counter, counter_so_far, finding_counter_so_far)
"""Every table that a recount fills."""

EVERY_DAY = EVERY_LETTER = ""

is_try = and_(
    attempt.c.finished.is_(True),
    or_(attempt.c.step == Step.COPY.value, attempt.c.step == Step.RECALL.value),
)
"""As `tries.is_try`; a finished attempt has a verdict."""

formed = func.coalesce(overruling.c.formed, attempt.c.formed)
mended = and_(overruling.c.attempt.is_(None), attempt.c.mended.is_(True))
looks = func.coalesce(overruling.c.looks, attempt.c.looks)


def _is_of(kinds: Collection[Kind]) -> ColumnElement[bool]:
    return or_(*(finding.c.kind == kind.value for kind in Kind if kind in kinds))


stands = or_(
    finding.c.note.is_(True),
    overruling.c.attempt.is_(None),
    and_(
        or_(overruling.c.formed.is_(False), ~_is_of(NOT_FORMED)),
        or_(overruling.c.looks.is_(False), ~_is_of(NOT_RIGHT)),
    ),
)
"""Whether a finding counts: a teacher's overruling takes back what it says is well; as `tries.counted`."""


def of_every_day(table: FromClause) -> ColumnElement[bool]:
    """That a row holds all days; word for word as in the indexes of such rows, else they do not serve."""
    day: ColumnElement[str] = table.c.day
    return day == literal_column(f"'{EVERY_DAY}'")


def recount(connection: Connection, cells: Iterable[Cell] | None = None) -> None:
    """Count these cells anew, and the sums that they are part of; without cells, everything."""
    if cells is None:
        for _, counting in _statements(everything=True):
            connection.execute(counting)
        return
    touched: list[dict[str, Any]] = [dict(zip(_CELL, cell, strict=True)) for cell in sorted(set(cells))]
    if not touched:
        return
    earliest: dict[Any, str] = {}
    for cell in touched:
        cell[_FROM] = earliest.setdefault((cell["pupil_"], cell["letter_"]), cell["day_"])
    for key, statement in compiled(connection.dialect):
        parameters = dict.fromkeys(tuple((name, cell[name]) for name in key) for cell in touched)
        values = [statement.construct_params(dict(given)) for given in parameters]
        places = statement.positiontup
        given = [tuple(value[name] for name in places) for value in values] if places else values
        connection.exec_driver_sql(str(statement), given)


def compiled(dialect: Dialect) -> Sequence[tuple[Sequence[str], SQLCompiler]]:
    """What counts cells anew, as SQL for a kind of database; made once, as that takes about 20 ms.

    Whoever writes in a record would else make it while all others wait.
    """
    if dialect.name not in _COMPILED:
        _COMPILED[dialect.name] = [
            (key, statement.compile(dialect=dialect)) for key, statement in _statements(everything=False)
        ]
    return _COMPILED[dialect.name]


def cells_of(connection: Connection, attempts: Sequence[int]) -> list[Cell]:
    """The cells in which these attempts, given by number, are counted."""
    query = select(attempt.c.pupil, attempt.c.letter, attempt.c.day).where(attempt.c.id.in_(attempts))
    return [(row.pupil, row.letter, row.day) for row in connection.execute(query.distinct())]


def _tries_of_days() -> Iterator[Select[Any]]:
    recalled = and_(is_try, attempt.c.step == Step.RECALL.value)
    when = case((attempt.c.finished.is_(True), attempt.c.at))
    yield (
        select(
            attempt.c.pupil,
            attempt.c.letter,
            attempt.c.day,
            _count_of(is_try),
            _count_of(and_(is_try, formed.is_(True))),
            _count_of(and_(is_try, mended)),
            _count_of(and_(is_try, looks.is_(True))),
            _count_of(recalled),
            _count_of(and_(recalled, formed.is_(True))),
            _count_of(and_(attempt.c.finished.is_(True), ~is_try)),
            _count_of(attempt.c.finished.is_(False)),
            _count_of(and_(is_try, overruling.c.attempt.is_not(None))),
            _count_of(and_(is_try, attempt.c.word.is_not(None))),
            _count_of(and_(is_try, attempt.c.word.is_not(None), formed.is_(True))),
            func.min(when),
            func.max(when),
        )
        .outerjoin_from(attempt, overruling)
        .group_by(attempt.c.pupil, attempt.c.letter, attempt.c.day)
    )


def _findings_of_days() -> Iterator[Select[Any]]:
    """First the kinds, each once a try; then the letters that were written in place of the one asked for."""
    cell = (attempt.c.pupil, attempt.c.letter, attempt.c.day, finding.c.kind, finding.c.note)
    findings = attempt.join(finding).outerjoin(overruling, overruling.c.attempt == attempt.c.id)
    tries, last = func.count(distinct(attempt.c.id)), func.max(attempt.c.at)
    kinds = select(*cell, literal(""), tries, last).select_from(findings).where(is_try, stands)
    yield kinds.group_by(*cell)
    instead = select(*cell, finding.c.other_letter, tries, last).select_from(findings).where(is_try, stands)
    named = and_(finding.c.kind == Kind.LETTER.value, finding.c.other_letter.is_not(None))
    yield instead.where(named).group_by(*cell, finding.c.other_letter)


def _sums(table: Table, dropped: str) -> Select[Any]:
    """The sums of the rows over all days, or over all letters: that column is empty in them."""
    keys = [column for column in table.c if column.primary_key and column.name != dropped]
    columns: list[ColumnElement[Any]] = []
    for column in table.c:
        if column.name == dropped:
            columns.append(literal(""))
        elif column.primary_key:
            columns.append(column)
        elif column.name == "first_at":
            columns.append(func.min(column))
        else:
            columns.append(func.max(column) if column.name == "last_at" else func.sum(column))
    single = [table.c.day != EVERY_DAY, table.c.letter != EVERY_LETTER]
    return select(*columns).where(*single).group_by(*keys)


def _so_far(table: Table, so_far: Table) -> Select[Any]:
    """The rows of days, each with all that was counted up to and with it."""
    same = [table.c[name] for name in subject(so_far)]

    def running(column: ColumnElement[Any]) -> ColumnElement[Any]:
        daily = table.c[str(column.key)]
        if column.primary_key:
            return daily
        total = func.max(daily) if daily.name == "last_at" else func.sum(daily)
        return total.over(partition_by=same, order_by=table.c.day).label(daily.name)

    single = [table.c.day != EVERY_DAY, table.c.letter != EVERY_LETTER]
    return select(*map(running, so_far.c)).where(*single)


def subject(table: Table) -> list[str]:
    """What a row of counts is about, besides its day: the other columns of its key."""
    return [column.name for column in table.primary_key if column.name != "day"]


def _count_of(which: ColumnElement[bool]) -> ColumnElement[int]:
    return func.sum(case((which, 1), else_=0))


def _write(table: Table, query: Select[Any]) -> Insert:
    return insert(table).from_select([column.name for column in table.c], query)


_CELL = ("pupil_", "letter_", "day_")
_FROM = "from_"
"""The earliest day that was touched of a pupil's letter."""


def _statements(*, everything: bool) -> Iterator[tuple[Sequence[str], Insert | Delete]]:
    """What counts cells anew, then their sums; each statement with the part of a cell that it goes by."""

    def of(table: Table, key: Sequence[str]) -> ColumnElement[bool]:
        conditions = [table.c[name.rstrip("_")] == bindparam(name) for name in key]
        return true() if everything else and_(*conditions)

    def from_on(table: FromClause) -> ColumnElement[bool]:
        return true() if everything else table.c.day >= bindparam(_FROM)

    for table, so_far, by_days in (
        (counter, counter_so_far, _tries_of_days()),
        (finding_counter, finding_counter_so_far, _findings_of_days()),
    ):
        yield _CELL, delete(table).where(of(table, _CELL))
        for query in by_days:
            yield _CELL, _write(table, query.where(of(attempt, _CELL)))
        pair = _CELL[:2]
        yield pair, delete(table).where(of(table, pair), table.c.day == EVERY_DAY)
        yield pair, _write(table, _sums(table, "day").where(of(table, pair)))
        yield (*pair, _FROM), delete(so_far).where(of(so_far, pair), from_on(so_far))
        running = _so_far(table, so_far).where(of(table, pair)).subquery()
        yield (*pair, _FROM), _write(so_far, select(running).where(from_on(running)))
    day = (_CELL[0], _CELL[2])
    yield day, delete(counter).where(of(counter, day), counter.c.letter == EVERY_LETTER)
    yield day, _write(counter, _sums(counter, "letter").where(of(counter, day)))


_COMPILED: dict[str, Sequence[tuple[Sequence[str], SQLCompiler]]] = {}
"""What `compiled` made, by the name of the kind of database."""
