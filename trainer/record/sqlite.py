"""SQLite under the record: one file on this machine, which its owner alone can read.

It runs in WAL mode, so the desk can read while a child writes. `synchronous` is NORMAL for strokes:
what is committed outlives the program's death (kill -9), and no pen-up waits for the disk. A durable
transaction, such as that of a finished letter, runs with FULL: it waits for the disk, so that a power cut
costs at most the letter that is being written.
"""

from __future__ import annotations

import os
import sqlite3
import stat
from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from pathlib import Path
from typing import Any

from sqlalchemy import URL, Connection, Table, create_engine, event

from trainer.errors import BrokenRecordError, BusyError, DiskFullError, ReadOnlyError, RecordError

_CACHE = 64 * 1024
"""Kibibytes of the file that SQLite may hold in memory: the counts of a school, and not all of its ink."""

_SIDE_FILE = 8 * 2**20
"""Bytes to which the write-ahead file is cut once nobody reads what is in it."""

_HEADER = b"SQLite format 3\x00"


class SQLite:
    """A file as a database; a missing one is made here. Raises RecordError."""

    def __init__(self, path: Path) -> None:
        self.place = str(path)
        try:
            _check_header(path)
        except PermissionError as error:
            raise self._read_only() from error
        except OSError as error:
            raise RecordError(f"{path}: the record could not be opened: {error.strerror}") from error
        self.engine = create_engine(URL.create("sqlite", database=str(path.absolute())))
        event.listen(self.engine, "connect", _on_connect)

    def begin(self, connection: Connection, *, writes: bool, durable: bool, patience: float) -> None:
        """Begin a transaction that waits for others as many seconds."""
        connection.exec_driver_sql(f"PRAGMA busy_timeout = {int(patience * 1000)}")
        connection.exec_driver_sql(f"PRAGMA synchronous = {'FULL' if durable else 'NORMAL'}")
        # A write lock is taken at once: two windows that both read first and write later would deadlock.
        connection.exec_driver_sql("BEGIN IMMEDIATE" if writes else "BEGIN")

    def before_migrating(self) -> None:
        """Let readers and a writer work at the same time from now on."""
        with self._bare() as cursor:
            cursor.execute("PRAGMA journal_mode = WAL")

    def after_migrating(self, connection: Connection) -> None:
        """The tables need nothing more."""

    def scrub(self, _: Sequence[Table], __: float) -> None:
        """Leave nothing of what was deleted in the bytes of the files; as `Database.scrub`.

        secure_delete has put zeros over deleted rows; here the write-ahead file, which still has them,
        is folded in and emptied.
        """
        with self._bare() as cursor:
            busy = cursor.execute("PRAGMA wal_checkpoint(TRUNCATE)").fetchone()[0]
        if busy:
            raise BusyError(
                f"{self.place}: it is erased from the record, but another window is using it; "
                "the last traces leave the disk when that window is closed"
            )

    def error(self, error: BaseException | None) -> RecordError:
        """What the driver raised, as one sentence."""
        name = getattr(error, "sqlite_errorname", "")
        if name.startswith("SQLITE_FULL") or name == "SQLITE_IOERR_SHMSIZE":
            return DiskFullError(
                f"{self.place}: the disk is full; make room and try again (what was kept is safe)"
            )
        if name.startswith(("SQLITE_READONLY", "SQLITE_CANTOPEN", "SQLITE_PERM")):
            return self._read_only()
        if name.startswith(("SQLITE_BUSY", "SQLITE_LOCKED")):
            return BusyError(f"{self.place}: another window is using the record; close it and try again")
        if name.startswith(("SQLITE_CORRUPT", "SQLITE_NOTADB")):
            return BrokenRecordError(
                f"{self.place} is damaged; it was left as it is, put a copy of it back in its place"
            )
        return RecordError(f"{self.place}: the record could not be used: {error}")

    def _read_only(self) -> ReadOnlyError:
        return ReadOnlyError(
            f"{self.place}: this file or its folder cannot be written; allow it, or choose another"
        )

    @contextmanager
    def _bare(self) -> Iterator[sqlite3.Cursor]:
        """A cursor outside any transaction, for the few statements that want none."""
        connection = self.engine.raw_connection()
        try:
            cursor: sqlite3.Cursor = connection.cursor()  # type: ignore[assignment]
            yield cursor
            cursor.close()  # an open one would hold the next commit up
        except sqlite3.Error as error:
            raise self.error(error) from error
        finally:
            connection.close()


def _check_header(path: Path) -> None:
    # O_NONBLOCK: a pipe in its place would be waited for without end
    flags = os.O_RDWR | os.O_CREAT | getattr(os, "O_BINARY", 0) | getattr(os, "O_NONBLOCK", 0)
    with os.fdopen(os.open(path, flags, 0o600), "rb") as file:
        if not stat.S_ISREG(os.fstat(file.fileno()).st_mode):
            raise RecordError(f"{path}: the record must be a file, and this is something else")
        header = file.read(len(_HEADER))
    if header and header != _HEADER:
        raise BrokenRecordError(f"{path} is not a record of this program; it was left as it is")


def _on_connect(connection: Any, _: Any) -> None:
    connection.isolation_level = None  # the driver must not open transactions of its own
    connection.execute("PRAGMA foreign_keys = ON")
    connection.execute("PRAGMA secure_delete = ON")
    connection.execute(f"PRAGMA cache_size = -{_CACHE}")
    connection.execute(f"PRAGMA journal_size_limit = {_SIDE_FILE}")
