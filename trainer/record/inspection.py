"""A record looked through: its file, every row of every table, all ink, and the counts against a recount."""

from __future__ import annotations

from collections.abc import Collection, Iterator, Sequence
from contextlib import closing
from dataclasses import dataclass
from enum import Enum
from itertools import count
from pathlib import Path
from typing import Any

from sqlalchemy import (
    ColumnElement,
    Connection,
    Select,
    String,
    Table,
    delete,
    func,
    select,
    type_coerce,
    update,
)
from sqlalchemy.types import NullType

from trainer.errors import BrokenRecordError
from trainer.ink_codec import unpack
from trainer.record import mappers, tables
from trainer.record.attempts import Attempts
from trainer.record.backup import existing, keep_as_it_is, quietly
from trainer.record.counters import COUNTERS, recount
from trainer.record.database import Database
from trainer.record.kept_ink import PAGE
from trainer.record.lessons import Lessons
from trainer.record.marks import is_mark, names
from trainer.record.migrations import MIGRATIONS
from trainer.record.observations import Observations
from trainer.record.settings import Settings
from trainer.record.sqlite import Progress
from trainer.record.upkeep import Backup, Upkeep

INK = "ink"
"""The name of the columns that hold packed ink."""


class Trouble(Enum):
    """What can be wrong in a record."""

    FILE = "file"
    LOST = "lost"
    VALUE = "value"
    ATTEMPT = "attempt"  # or another row, which its reason names
    INK = "ink"
    COUNTS = "counts"


@dataclass(frozen=True)
class Fault:
    """One fault: where it is, what the database or the reader says of it, and whether mending takes it away.

    `where` is a table with a key or with a number of rows; of ink that cannot be read, `table` and `number`
    say where it lies.
    """

    trouble: Trouble
    where: str = ""
    reason: str = ""
    mendable: bool = False
    table: str = ""
    number: int = 0


@dataclass(frozen=True)
class State:
    """What a record is from outside: its place, its bytes and those that are free, its steps and backup."""

    place: str
    database: str
    size: int
    room: int | None
    steps: int
    last_step: str
    faults: tuple[str, ...]
    last_backup: Backup | None


def state(place: Path | str) -> State:
    """The state of a record, without a look at what children wrote. Raises RecordError."""
    with closing(existing(place, marked=True)) as database:
        with database.reading() as connection:
            faults = tuple(database.store.faults(connection))
            noted, database_name = names(connection), database.store.name(connection)
        steps = [step.name for step in MIGRATIONS if step.name in noted] + [*filter(is_mark, noted)]
        upkeep = Upkeep(database, Settings(database))
        return State(
            *(database.place, database_name, upkeep.size, database.room(), len(steps), steps[-1]),
            faults,
            upkeep.last_backup,
        )


def check(place: Path | str, *, progress: Progress = quietly) -> tuple[Fault, ...]:
    """Every fault of a record. Windows may have it open; who writes waits while it is counted.

    Raises RecordError where the record cannot be opened, or read at all.
    """
    with closing(existing(place)) as database:
        return tuple(_faults(database, progress))


def mend(place: Path | str, faults: Collection[Fault], copy: Path, *, progress: Progress = quietly) -> None:
    """Mend what can be, after the record as it is went into a new file.

    It counts anew, erases rows that hang on nothing, builds indexes anew, and takes out ink that nobody can
    read; the verdicts on it stay.
    """
    unreadable = [fault for fault in faults if fault.trouble is Trouble.INK]
    with closing(existing(place)) as database:
        keep_as_it_is(database, copy, progress)
        with database.writing(durable=True, unhurried=True) as connection:
            database.store.build_indexes(connection)
            for table, lost in _lost_rows():
                connection.execute(delete(table).where(lost))
            for fault in unreadable:
                table = tables.metadata.tables[fault.table]
                connection.execute(update(table).where(table.c.id == fault.number).values({INK: None}))
            recount(connection)


def _faults(database: Database, progress: Progress) -> Iterator[Fault]:
    with database.reading() as connection:
        for reason in database.store.faults(connection):
            # an index can be built anew from its table, and nothing else can
            yield Fault(Trouble.FILE, reason=reason, mendable=" index " in reason)
        for table, lost in _lost_rows():
            if number := connection.scalar(select(func.count()).select_from(table).where(lost)):
                yield Fault(Trouble.LOST, f"{table.name}: {number}", mendable=True)
        if connection.dialect.name == "sqlite":  # it keeps whatever is put into a column
            yield from _values(connection)
        yield from _moments(connection)
    yield from _inks(database, progress)
    yield from _attempts(database)
    yield from _observations(database)
    yield from _lessons(database)
    yield from _counts(database)


def _lost_rows() -> Iterator[tuple[Table, ColumnElement[bool]]]:
    """Of each table that hangs on another one: which of its rows hang on nothing."""
    for table in tables.metadata.sorted_tables:
        for key in table.foreign_keys:
            yield table, key.parent.is_not(None) & key.parent.not_in(select(key.column))


def _values(connection: Connection) -> Iterator[Fault]:
    """Values that are of another kind than their column, or longer."""
    for table in tables.metadata.sorted_tables:
        for column in table.c:
            wrong: ColumnElement[bool] = func.typeof(column).not_in([_KINDS[column.type.python_type], "null"])
            if isinstance(column.type, String) and column.type.length:
                wrong |= func.length(column) > column.type.length
            if not column.nullable:
                wrong |= column.is_(None)
            yield from (_of_row(table, row, column) for row in connection.execute(_rows_where(table, wrong)))


def _moments(connection: Connection) -> Iterator[Fault]:
    """Moments that are none; those of attempts are read with the attempts."""
    for table in tables.metadata.sorted_tables:
        for column in table.c if table is not tables.attempt else ():
            if getattr(column.type, "length", None) == tables.MOMENT:
                query = _rows_where(table, column.is_not(None)).add_columns(column.label("moment"))
                for row in connection.execute(query):
                    if mappers.moment_or_none(row.moment) is None:
                        yield _of_row(table, row[:-1], column)


def _rows_where(table: Table, condition: ColumnElement[bool]) -> Select[Any]:
    """The keys of rows, as they lie there, whatever that is."""
    keys: list[ColumnElement[Any]] = [type_coerce(column, NullType) for column in table.primary_key]
    return select(*keys).where(condition)


def _of_row(table: Table, key: Sequence[object], column: ColumnElement[Any]) -> Fault:
    return Fault(Trouble.VALUE, f"{table.name} {', '.join(map(str, key))}", str(column.key))


def _inks(database: Database, progress: Progress) -> Iterator[Fault]:
    """Ink that cannot be read, of whatever was written; page by page, so that no reader holds others up."""
    written = [table for table in tables.metadata.sorted_tables if INK in table.c]
    with database.reading() as connection:
        total = sum(connection.scalar(select(func.count(table.c[INK]))) or 0 for table in written)
    done = count(1)
    for table in written:
        number = table.c.id
        query = select(number, table.c[INK]).where(table.c[INK].is_not(None)).order_by(number).limit(PAGE)
        last = 0
        while True:
            with database.reading() as connection:
                rows = connection.execute(query.where(number > last)).all()
            for last, ink in rows:
                try:
                    unpack(ink)
                except ValueError as error:
                    yield Fault(Trouble.INK, f"{table.name} {last}", str(error), True, table.name, last)
                progress(next(done), total)
            if len(rows) < PAGE:
                break


def _attempts(database: Database) -> Iterator[Fault]:
    """Attempts that cannot be read."""
    attempts, damaged = Attempts(database), list[BrokenRecordError]()
    with database.reading() as connection:
        numbers = connection.scalars(select(tables.attempt.c.id).order_by(tables.attempt.c.id)).all()
    for first in range(0, len(numbers), PAGE):
        page = numbers[first : first + PAGE]
        list(attempts.between(page[0], page[-1], on_damage=damaged.append))
    yield from (Fault(Trouble.ATTEMPT, reason=str(error)) for error in damaged)


def _observations(database: Database) -> Iterator[Fault]:
    """Observations that cannot be read."""
    damaged = list[BrokenRecordError]()
    with database.reading() as connection:
        pupils = connection.scalars(select(tables.pupil.c.id)).all()
    Observations(database).find(pupils, on_damage=damaged.append)
    yield from (Fault(Trouble.ATTEMPT, reason=str(error)) for error in damaged)


def _lessons(database: Database) -> Iterator[Fault]:
    """Lessons that cannot be read."""
    damaged = list[BrokenRecordError]()
    Lessons(database).find(on_damage=damaged.append)
    yield from (Fault(Trouble.ATTEMPT, reason=str(error)) for error in damaged)


def _counts(database: Database) -> Iterator[Fault]:
    """The counters against a recount, which is undone again."""
    with database.writing(durable=True, unhurried=True) as connection, connection.begin_nested() as trial:
        before = _counters(connection)
        recount(connection)
        after = _counters(connection)
        trial.rollback()
    for name, rows in before.items():
        if wrong := len(rows ^ after[name]):
            yield Fault(Trouble.COUNTS, f"{name}: {wrong}", mendable=True)


def _counters(connection: Connection) -> dict[str, set[tuple[Any, ...]]]:
    return {table.name: {tuple(row) for row in connection.execute(select(table))} for table in COUNTERS}


_KINDS = {int: "integer", str: "text", float: "real", bytes: "blob", bool: "integer"}
"""What SQLite calls the kind of a value in a column of that type."""
