"""Opening the record's database, and its transactions. What the driver raises comes out as a RecordError."""

from __future__ import annotations

import os
import sqlite3
from collections.abc import Iterator, Mapping
from contextlib import contextmanager
from pathlib import Path
from typing import Any

from sqlalchemy import Connection, Table, create_engine, event, insert, make_url
from sqlalchemy.exc import ArgumentError, DBAPIError, NoSuchModuleError

from trainer.errors import (
    BrokenRecordError,
    BusyError,
    DiskFullError,
    NewerRecordError,
    ReadOnlyError,
    RecordError,
)
from trainer.migrations import MIGRATIONS, applied, migrate

PATIENCE = 5.0
"""How long, in seconds, one window waits for another one to finish its transaction."""

BRIEFLY = 0.25
"""The same at a pen-up: the child writes on, and the stroke is offered again with the next one."""

_CACHE = 64 * 1024
"""Kibibytes of the file that SQLite may hold in memory: the counts of a school, and not all of its ink."""

_SQLITE_HEADER = b"SQLite format 3\x00"


class Database:
    """One open database. `reading` and `writing` are its transactions; errors come out as RecordError.

    SQLite runs in WAL mode, so the desk can read while a child writes. `synchronous` is NORMAL for
    strokes: what is committed outlives the program's death (kill -9), and no pen-up waits for the
    disk. A `durable` transaction, one a finished letter, runs with FULL: it waits for the disk, so
    that a power cut costs at most the letter in hand.
    """

    def __init__(self, place: Path | str) -> None:
        self.place, url = _located(place)
        try:
            self._engine = create_engine(url)
        except (ArgumentError, NoSuchModuleError, ImportError) as error:
            raise RecordError(f"{self.place}: the record's address cannot be used: {error}") from error
        if self._is_sqlite:
            event.listen(self._engine, "connect", _on_connect)
            event.listen(self._engine, "begin", _on_begin)
        try:
            self._prepare()
        except BaseException:
            self.close()
            raise

    def close(self) -> None:
        """Close the connections; the last one to leave folds SQLite's side files into the record."""
        self._engine.dispose()

    @contextmanager
    def reading(self) -> Iterator[Connection]:
        """A transaction that sees one moment of the record and changes nothing."""
        with self._told(), self._engine.connect() as connection, connection.begin():
            yield connection

    @contextmanager
    def writing(self, *, durable: bool = False) -> Iterator[Connection]:
        """A transaction that is committed when the block ends, and undone when it raises."""
        with self._told(), self._engine.connect() as connection:
            connection = connection.execution_options(writes=True, durable=durable)
            with connection.begin():
                yield connection

    def scrub(self) -> None:
        """Leave nothing of what was deleted in the bytes of SQLite's files.

        secure_delete has put zeros over deleted rows; here the write-ahead file, which still has them,
        is folded in and emptied. Raises BusyError while another window reads the record: the rows are
        gone, the bytes go when that window closes.
        """
        if not self._is_sqlite:
            return
        with self._told(), self._bare() as cursor:
            busy = cursor.execute("PRAGMA wal_checkpoint(TRUNCATE)").fetchone()[0]
        if busy:
            raise BusyError(
                f"{self.place}: it is erased from the record, but another window is using it; "
                "the last traces leave the disk when that window is closed"
            )

    @property
    def _is_sqlite(self) -> bool:
        return self._engine.dialect.name == "sqlite"

    def _prepare(self) -> None:
        with self.reading() as connection:
            steps = applied(connection)
        if steps is None:
            raise BrokenRecordError(
                f"{self.place} is a database, but not a record of this program; nothing was changed"
            )
        unknown = set(steps) - {step.name for step in MIGRATIONS}
        if unknown:
            raise NewerRecordError(
                f"{self.place} was written by a newer version of this program; "
                "install that version to open it (nothing was changed)"
            )
        if len(steps) < len(MIGRATIONS):
            if self._is_sqlite:
                with self._told(), self._bare() as cursor:
                    cursor.execute("PRAGMA journal_mode = WAL")
            migrate(self.writing)

    @contextmanager
    def _bare(self) -> Iterator[sqlite3.Cursor]:
        """A cursor outside any transaction, for the few statements that want none."""
        connection = self._engine.raw_connection()
        try:
            cursor: sqlite3.Cursor = connection.cursor()  # type: ignore[assignment]
            yield cursor
            cursor.close()  # an open one would hold the next commit up
        finally:
            connection.close()

    @contextmanager
    def _told(self) -> Iterator[None]:
        try:
            yield
        except DBAPIError as error:
            raise self._error(error.orig) from error
        except sqlite3.Error as error:
            raise self._error(error) from error

    def _error(self, error: BaseException | None) -> RecordError:
        name = getattr(error, "sqlite_errorname", "")
        if name.startswith("SQLITE_FULL") or name == "SQLITE_IOERR_SHMSIZE":
            return DiskFullError(
                f"{self.place}: the disk is full; make room and try again (what was kept is safe)"
            )
        if name.startswith(("SQLITE_READONLY", "SQLITE_CANTOPEN", "SQLITE_PERM")):
            return _read_only(self.place)
        if name.startswith(("SQLITE_BUSY", "SQLITE_LOCKED")):
            return BusyError(f"{self.place}: another window is using the record; close it and try again")
        if name.startswith(("SQLITE_CORRUPT", "SQLITE_NOTADB")):
            return BrokenRecordError(
                f"{self.place} is damaged; it was left as it is, put a copy of it back in its place"
            )
        return RecordError(f"{self.place}: the record could not be used: {error}")


def added(connection: Connection, table: Table, row: Mapping[str, Any]) -> int:
    """Insert a row into a table with an `id`; gives back the one it got."""
    key = connection.execute(insert(table).values(row)).inserted_primary_key
    assert key is not None
    return int(key[0])


def _located(place: Path | str) -> tuple[str, Any]:
    """The place in words, and its URL; a file is made here, for its owner's eyes alone."""
    if isinstance(place, str) and "://" in place:
        try:
            url = make_url(place)
        except ArgumentError as error:
            raise RecordError(f"{place!r} is not the address of a record") from error
        return url.render_as_string(hide_password=True), url
    path = Path(place)
    try:
        _check_header(path)
    except PermissionError as error:
        raise _read_only(path) from error
    except OSError as error:
        raise RecordError(f"{path}: the record could not be opened: {error.strerror}") from error
    return str(path), make_url("sqlite://").set(database=str(path.absolute()))


def _read_only(place: Path | str) -> ReadOnlyError:
    return ReadOnlyError(f"{place}: this file or its folder cannot be written; allow it, or choose another")


def _check_header(path: Path) -> None:
    handle = os.open(path, os.O_RDWR | os.O_CREAT | getattr(os, "O_BINARY", 0), 0o600)
    with os.fdopen(handle, "rb") as file:
        header = file.read(len(_SQLITE_HEADER))
    if header and header != _SQLITE_HEADER:
        raise BrokenRecordError(f"{path} is not a record of this program; it was left as it is")


def _on_connect(connection: Any, _: Any) -> None:
    connection.isolation_level = None  # the driver must not open transactions of its own
    connection.execute("PRAGMA foreign_keys = ON")
    connection.execute("PRAGMA secure_delete = ON")
    connection.execute(f"PRAGMA cache_size = -{_CACHE}")


def _on_begin(connection: Connection) -> None:
    options = connection.get_execution_options()
    patience = BRIEFLY if options.get("writes") and not options.get("durable") else PATIENCE
    connection.exec_driver_sql(f"PRAGMA busy_timeout = {int(patience * 1000)}")
    connection.exec_driver_sql(f"PRAGMA synchronous = {'FULL' if options.get('durable') else 'NORMAL'}")
    # A write lock is taken at once: two windows that both read first and write later would deadlock.
    connection.exec_driver_sql("BEGIN IMMEDIATE" if options.get("writes") else "BEGIN")
