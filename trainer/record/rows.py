"""All rows of a record from one database into another, whichever kinds they are, and compared with it.

Every table of `tables.metadata` goes over, parents first, in the order of its keys. What is there already is
not written again, so a copy that was broken off goes on, whatever has changed in the source meanwhile.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from typing import Any

from sqlalchemy import ColumnElement, Connection, Table, delete, func, insert, inspect, select, tuple_
from sqlalchemy.exc import DataError, IntegrityError, ProgrammingError

from trainer.errors import BrokenRecordError
from trainer.record.database import Database, last_number, number_after, numbered_tables
from trainer.record.migrations import LAST_ERASED
from trainer.record.sqlite import Progress
from trainer.record.tables import metadata, setting

CHUNK = 500
"""Rows that are copied, and committed, at once: with their ink a mebibyte or two."""


def counts(connection: Connection) -> dict[str, int]:
    """How many rows each table has, by its name; what says which numbers were given is left out."""
    return {
        table.name: connection.scalar(select(func.count()).select_from(table).where(_is_copied(table))) or 0
        for table in metadata.sorted_tables
    }


def is_empty(connection: Connection) -> bool:
    """Whether a database, which may have none of the tables yet, holds nothing but settings."""
    there = set(inspect(connection).get_table_names())
    chosen = (table for table in metadata.sorted_tables if table.name in there and table is not setting)
    return all(connection.execute(select(table.c[0]).limit(1)).first() is None for table in chosen)


def copy_rows(source: Connection, target: Database, progress: Progress) -> None:
    """Make the target hold the rows of the source, and no others; then compare all of them.

    The numbers that the target gives from then on are higher than any that the source gave. Raises
    BrokenRecordError for a row that the target's database does not take, which names it.
    """
    total, done = 2 * sum(counts(source).values()), 0
    for table in metadata.sorted_tables:
        with target.writing(unhurried=True) as connection:  # first, as a name may be taken by one of them
            _drop_others(source, connection, table)
        for rows in _chunks(source, table):
            with target.writing(unhurried=True) as connection:
                if _there(connection, table, rows) != rows:
                    connection.execute(delete(table).where(_among(table, rows)))
                    _insert(connection, table, rows, target.place)
            done += len(rows)
            progress(done, total)
    for table in metadata.sorted_tables:
        for rows in _chunks(source, table):
            with target.reading() as connection:
                if _there(connection, table, rows) != rows:
                    raise BrokenRecordError(
                        f"{target.place}: rows of {table.name} differ from what was copied"
                    )
            done += len(rows)
            progress(done, total)
    with target.writing(durable=True) as connection:  # from here on all of it is on the disk
        for table in numbered_tables():
            number_after(connection, table, last_number(source, table))


def replace_rows(source: Connection, target: Connection, place: str, progress: Progress) -> None:
    """Put the rows of the source in the place of all rows of the target, in one transaction of the target.

    The numbers that the target gives are then higher than any that either of them gave.
    """
    given = {table.name: last_number(target, table) for table in numbered_tables()}
    for table in reversed(metadata.sorted_tables):
        target.execute(delete(table))
    total, done = sum(counts(source).values()), 0
    for table in metadata.sorted_tables:
        for rows in _chunks(source, table):
            _insert(target, table, rows, place)
            done += len(rows)
            progress(done, total)
    for table in numbered_tables():
        number_after(target, table, max(given[table.name], last_number(source, table)))


def _is_copied(table: Table) -> ColumnElement[bool]:
    """Whether a row goes over: not what the source says of the numbers that it gave."""
    return ~setting.c.name.startswith(LAST_ERASED) if table is setting else table.c[0].is_not(None)


def _chunks(connection: Connection, table: Table) -> Iterator[list[dict[str, Any]]]:
    """The rows of a table in the order of its key, some at a time."""
    query = select(table).where(_is_copied(table)).order_by(*table.primary_key)
    stream = connection.execute(query.execution_options(yield_per=CHUNK))
    for rows in stream.mappings().partitions():
        yield [dict(row) for row in rows]


def _there(connection: Connection, table: Table, rows: Sequence[Mapping[str, Any]]) -> list[dict[str, Any]]:
    """The rows with the same keys, in the same order."""
    keys = [column.name for column in table.primary_key]
    by_key = {
        tuple(row[key] for key in keys): dict(row)
        for row in connection.execute(select(table).where(_among(table, rows))).mappings()
    }
    wanted = (tuple(row[key] for key in keys) for row in rows)
    return [by_key[key] for key in wanted if key in by_key]


def _among(table: Table, rows: Sequence[Mapping[str, Any]]) -> ColumnElement[bool]:
    keys = list(table.primary_key)
    return tuple_(*keys).in_([tuple(row[key.name] for key in keys) for row in rows])


def _drop_others(source: Connection, target: Connection, table: Table) -> None:
    """Delete the rows of the target that the source does not have: of an earlier try or state."""
    keys = list(table.primary_key)

    def all_keys(connection: Connection) -> set[tuple[Any, ...]]:
        return {tuple(row) for row in connection.execute(select(*keys).where(_is_copied(table)))}

    if there := all_keys(target):
        others = list(there - all_keys(source))
        for first in range(0, len(others), CHUNK):
            chosen = others[first : first + CHUNK]
            target.execute(delete(table).where(tuple_(*keys).in_(chosen)))


def _insert(connection: Connection, table: Table, rows: Sequence[Mapping[str, Any]], place: str) -> None:
    """Insert rows; one that cannot be is named by its key."""
    try:
        with connection.begin_nested():
            connection.execute(insert(table), list(rows))
    except (DataError, IntegrityError, ProgrammingError) as error:
        if len(rows) > 1:
            for row in rows:
                _insert(connection, table, [row], place)
            return
        key = ", ".join(str(rows[0][column.name]) for column in table.primary_key)
        raise BrokenRecordError(f"{place}: {table.name} {key} is damaged and cannot be copied") from error
