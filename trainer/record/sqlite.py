"""SQLite under the record: one file on this machine, which its owner alone can read.

It runs in WAL mode, so the desk can read while a child writes. `synchronous` is NORMAL for strokes:
what is committed outlives the program's death (kill -9), and no pen-up waits for the disk. A durable
transaction, such as that of a finished letter, runs with FULL: it waits for the disk, so that a power cut
costs at most the letter that is being written.
"""

from __future__ import annotations

import os
import shutil
import sqlite3
import stat
from collections.abc import Callable, Iterator, Sequence
from contextlib import closing, contextmanager
from pathlib import Path
from time import monotonic, sleep
from typing import Any, TypeAlias

from sqlalchemy import URL, Connection, Table, create_engine, event

from trainer.errors import BrokenRecordError, BusyError, DiskFullError, ReadOnlyError, RecordError
from trainer.record import tables

Progress: TypeAlias = Callable[[int, int], object]
"""Is told how much is done by now, and of how much."""

_CACHE = 64 * 1024
"""Kibibytes of the file that SQLite may hold in memory: the counts of a school, and not all of its ink."""

_SIDE_FILE = 8 * 2**20
"""Bytes to which the write-ahead file is cut once nobody reads what is in it."""

_HEADER = b"SQLite format 3\x00"

_SEAL = "sealed_"
"""Begins the names of the triggers that refuse every change."""

_STEP = 256
"""Pages that are copied at once: a mebibyte, after which it is told how far the copy has come."""

_NEXT_TRY = 0.001
"""Seconds from one try to take the lock for writing to the next; later a tenth of the time waited."""

_ALONE = 250
"""Milliseconds to wait for others by one who wants the file alone: they have it open for hours."""


class SQLite:
    """A file as a database; a missing one is made here. Raises RecordError."""

    def __init__(self, path: Path) -> None:
        self.place = str(path)
        try:
            check_header(path, os.O_RDWR | os.O_CREAT)
        except PermissionError as error:
            raise _read_only(str(path)) from error
        except OSError as error:
            raise RecordError(f"{path}: the record could not be opened: {error.strerror}") from error
        self._path = path
        self._exclusive = False
        self.engine = create_engine(URL.create("sqlite", database=str(path.absolute())))
        event.listen(self.engine, "connect", self._on_connect)

    def begin(self, connection: Connection, *, writes: bool, durable: bool, patience: float) -> None:
        """Begin a transaction that waits for others as many seconds."""
        connection.exec_driver_sql(f"PRAGMA synchronous = {'FULL' if durable else 'NORMAL'}")
        if writes:
            # A write lock is taken at once: two windows that both read first and write later would deadlock.
            self._lock(connection, patience)
        connection.exec_driver_sql(f"PRAGMA busy_timeout = {int(patience * 1000)}")
        if not writes:
            connection.exec_driver_sql("BEGIN")

    def _lock(self, connection: Connection, patience: float) -> None:
        """Begin a transaction that writes, as soon as no other one does.

        SQLite's own waiting soon sleeps for 15 to 100 ms at a time, while others hold the lock for a few and
        come and go.
        """
        driver: Any = connection.connection.driver_connection  # SQLAlchemy costs more than a try
        driver.execute("PRAGMA busy_timeout = 0")
        began = monotonic()
        while True:
            try:
                driver.execute("BEGIN IMMEDIATE")
            except sqlite3.Error as error:
                waited = monotonic() - began
                if not error.sqlite_errorname.startswith("SQLITE_BUSY") or waited > patience:
                    raise self.error(error) from error
                sleep(max(_NEXT_TRY, waited / 10))
            else:
                return

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

    @contextmanager
    def alone(self) -> Iterator[None]:
        """Nobody else has the file open while the block runs; raises BusyError where somebody has.

        A connection that asks for the lock before its first look at the file gets it from SQLite only then.
        """
        self.engine.dispose()
        self._exclusive = True
        try:
            with self._bare() as cursor:
                cursor.execute("BEGIN IMMEDIATE")
                cursor.execute("COMMIT")
            yield
        finally:
            self._exclusive = False
            self.engine.dispose()

    def shut_out(self, _: Connection) -> None:
        """Nothing more: who is `alone` with the file has shut the others out."""

    def seal(self, connection: Connection, reason: str) -> None:
        """Refuse every change of the tables for that reason, from whichever program it comes."""
        for table in tables.metadata.sorted_tables:
            for change in ("INSERT", "UPDATE", "DELETE"):
                connection.exec_driver_sql(
                    f"CREATE TRIGGER {_SEAL}{table.name}_{change} BEFORE {change} ON {table.name} BEGIN "
                    f"SELECT RAISE(ABORT, '{reason}'); END"
                )

    def unseal(self, connection: Connection) -> None:
        """Allow changes again."""
        sealing = "SELECT name FROM sqlite_master WHERE type = 'trigger' AND substr(name, 1, ?) = ?"
        for name in connection.exec_driver_sql(sealing, (len(_SEAL), _SEAL)).scalars().all():
            connection.exec_driver_sql(f"DROP TRIGGER {name}")

    def name(self, connection: Connection) -> str:
        """Which database it is, with its version."""
        return f"SQLite {connection.exec_driver_sql('SELECT sqlite_version()').scalar_one()}"

    def faults(self, connection: Connection) -> Sequence[str]:
        """What is wrong with the file itself, in SQLite's words."""
        said = connection.exec_driver_sql("PRAGMA integrity_check").scalars().all()
        return [] if said == ["ok"] else said

    def build_indexes(self, connection: Connection) -> None:
        """Build every index anew from its table."""
        connection.exec_driver_sql("REINDEX")

    def size(self, _: Connection) -> int:
        """Bytes of the file and of what is not folded into it yet."""
        files = (self._path, self._path.with_name(f"{self._path.name}-wal"))
        return sum(file.stat().st_size for file in files if file.exists())

    def room(self) -> int:
        """Bytes that are free on its disk."""
        return shutil.disk_usage(self._path.parent).free

    def copy_into(self, file: Path, progress: Progress) -> None:
        """Write everything, as it is at one moment, into an empty file; others may go on writing."""
        with self._bare() as cursor, closing(sqlite3.connect(file)) as copy:
            # inside a transaction the copy never has to begin anew when somebody writes
            cursor.execute("BEGIN")
            cursor.execute("SELECT 1 FROM sqlite_master")
            try:
                _copy(cursor.connection, copy, progress)
            except sqlite3.Error as error:
                damaged = error.sqlite_errorname.startswith("SQLITE_CORRUPT")
                raise sentence_of(self.place if damaged else str(file), error) from error
            finally:
                cursor.execute("ROLLBACK")

    def take_from(self, file: Path, progress: Progress) -> None:
        """Put everything that another file has in the place of what is here, at once or not at all.

        Whoever does this is `alone` with this one.
        """
        with self._bare() as cursor, closing(sqlite3.connect(file)) as source:
            _copy(source, cursor.connection, progress)

    def error(self, error: BaseException | None) -> RecordError:
        """What the driver raised, as one sentence."""
        return sentence_of(self.place, error)

    def _on_connect(self, connection: Any, _: Any) -> None:
        connection.isolation_level = None  # the driver must not open transactions of its own
        if self._exclusive:  # before anything else: whoever has looked at the file shares it
            connection.execute("PRAGMA locking_mode = EXCLUSIVE")
            connection.execute(f"PRAGMA busy_timeout = {_ALONE}")
        connection.execute("PRAGMA foreign_keys = ON")
        connection.execute("PRAGMA secure_delete = ON")
        connection.execute(f"PRAGMA cache_size = -{_CACHE}")
        connection.execute(f"PRAGMA journal_size_limit = {_SIDE_FILE}")

    @contextmanager
    def _bare(self) -> Iterator[sqlite3.Cursor]:
        """A cursor outside any transaction, for the few statements that want none."""
        try:
            with closing(self.engine.raw_connection()) as connection:
                cursor: sqlite3.Cursor = connection.cursor()  # type: ignore[assignment]
                yield cursor
                cursor.close()  # an open one would hold the next commit up
        except sqlite3.Error as error:
            raise self.error(error) from error


def check_header(path: Path, flags: int = os.O_RDONLY) -> None:
    """Raise RecordError, or OSError, unless that is a file with a database of this kind.

    One that may be made, as the flags of the system say, may be empty as well.
    """
    # O_NONBLOCK: a pipe in its place would be waited for without end
    flags |= getattr(os, "O_BINARY", 0) | getattr(os, "O_NONBLOCK", 0)
    handle = os.open(path, flags, 0o600)
    try:
        if not stat.S_ISREG(os.fstat(handle).st_mode):
            raise RecordError(f"{path}: the record must be a file, and this is something else")
        header = os.read(handle, len(_HEADER))
    finally:
        os.close(handle)
    if header != _HEADER and (header or not flags & os.O_CREAT):
        raise BrokenRecordError(f"{path} is not a record of this program; it was left as it is")


def read_file(file: Path, copy: Path, progress: Progress) -> None:
    """Copy a database into an empty file without writing beside it; it may lie where nobody may write."""
    beside = file.with_name(f"{file.name}-wal").exists()
    options = "mode=ro" if beside else "mode=ro&immutable=1"
    try:
        with (
            closing(sqlite3.connect(f"{file.absolute().as_uri()}?{options}", uri=True)) as source,
            closing(sqlite3.connect(copy)) as target,
        ):
            _copy(source, target, progress)
    except sqlite3.Error as error:
        raise sentence_of(str(file), error) from error


def look_through(file: Path) -> None:
    """Look through a database whole; raises BrokenRecordError for the first fault."""
    try:
        with closing(sqlite3.connect(file)) as database:
            (fault,) = database.execute("PRAGMA integrity_check(1)").fetchone()
            empty = database.execute("SELECT 1 FROM sqlite_master").fetchone() is None
    except sqlite3.Error as error:
        raise sentence_of(str(file), error) from error
    if empty:
        raise BrokenRecordError(f"{file} is a database without tables, and no record of this program")
    if fault != "ok":
        raise BrokenRecordError(f"{file} is damaged: {fault}")


def _copy(source: sqlite3.Connection, target: sqlite3.Connection, progress: Progress) -> None:
    """Copy all pages; `progress` is told how many of how many there are by now."""
    source.backup(target, pages=_STEP, progress=lambda _, left, total: progress(total - left, total))


def sentence_of(place: str, error: BaseException | None) -> RecordError:
    """What SQLite raised at a place, as one sentence."""
    name = getattr(error, "sqlite_errorname", "")
    if name.startswith("SQLITE_FULL") or name == "SQLITE_IOERR_SHMSIZE":
        return DiskFullError(f"{place}: the disk is full; make room and try again (what was kept is safe)")
    if name.startswith(("SQLITE_READONLY", "SQLITE_CANTOPEN", "SQLITE_PERM")):
        return _read_only(place)
    if name.startswith(("SQLITE_BUSY", "SQLITE_LOCKED")):
        return BusyError(f"{place}: another window is using the record; close it and try again")
    if name.startswith(("SQLITE_CORRUPT", "SQLITE_NOTADB")):
        return BrokenRecordError(
            f"{place} is damaged; it was left as it is, put a copy of it back in its place"
        )
    return RecordError(f"{place}: the record could not be used: {error}")


def _read_only(place: str) -> ReadOnlyError:
    return ReadOnlyError(f"{place}: this file or its folder cannot be written; allow it, or choose another")
