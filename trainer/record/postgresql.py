"""PostgreSQL under the record: a server of the school's own, for many screens.

Who may connect, encryption, the write-ahead log, the server's own logs and the backups are in the care
of those who run it.
"""

from __future__ import annotations

import logging
import re
from collections.abc import Callable, Sequence
from contextlib import AbstractContextManager, nullcontext
from time import monotonic, sleep
from typing import Any

import psycopg
from psycopg import OperationalError, ProgrammingError
from psycopg.conninfo import conninfo_to_dict
from psycopg.errors import ConnectionTimeout, Diagnostic
from sqlalchemy import Connection, Table, create_engine, event
from sqlalchemy.exc import DBAPIError

from trainer.errors import BusyError, DiskFullError, ReadOnlyError, RecordError
from trainer.places import without_secrets
from trainer.record import tables

OLDEST = 15
"""The oldest version that is supported: each of the tests' servers is this one or newer."""

# What it warns of, a connection that broke, comes as an error as well, and would fill a terminal.
logging.getLogger("psycopg").setLevel(logging.ERROR)

_WRITING = 7_239_462_281
"""The advisory lock of whoever writes; a number of our own, as other programs may take locks as well."""

_SILENCE = {"connect_timeout": "5", "tcp_user_timeout": "5000"}
"""Seconds, and milliseconds, to wait for a server that does not answer, unless the address says otherwise."""

_ANSWER = 2.0
"""Seconds within which a server answers that runs: each statement of a draft; ten times that for others."""

_AGAIN = 5.0
"""Seconds for which a server that did not answer is not asked again."""

_SILENT = "the server does not answer"

_SEAL = "sealed"
"""The name of the function, and of the triggers, that refuse every change."""

_LOCKED = "55P03"
"""The server's code for a lock that somebody else had for too long."""

_PERSONAL = (
    *(tables.pupil.c.name, tables.pupil.c.class_group, tables.plan.c.class_group, tables.note.c.said),
    *(tables.overruling.c.reason, tables.setting.c.name, tables.setting.c.value, tables.attempt.c.ink),
)
"""What the server's planner keeps no samples of: they would outlive what is erased."""


class _TooOldError(ProgrammingError):
    """A server of a version that is not supported."""


class _Connection(psycopg.Connection[Any]):
    """A connection that waits `deadline` seconds for an answer at most, None for without end.

    A server that is stopped still holds its connections, and the network sees nothing wrong with them: only
    a clock on this side ends the waiting. The connection is closed then, as nobody knows what became of it.
    """

    deadline: float | None = None
    on_silence: Callable[[], None]

    def wait(self, gen: Any, *arguments: Any, **options: Any) -> Any:
        """Run a generator of psycopg to its end. Raises OperationalError after the deadline."""
        return super().wait(self._in_time(gen), *arguments, **options)

    def _in_time(self, gen: Any) -> Any:
        """The same generator, which psycopg wakes ten times a second while nothing comes."""
        until = None if self.deadline is None else monotonic() + self.deadline
        try:
            awaited = next(gen)
            while True:
                ready = yield awaited
                if until is not None and monotonic() > until:
                    self.pgconn.finish()
                    self.on_silence()
                    raise OperationalError(_SILENT)
                awaited = gen.send(ready)
        except StopIteration as end:
            return end.value


class PostgreSQL:
    """The database at a `postgresql://` address, as libpq reads it: ~/.pgpass and PG* variables hold as well.

    Raises RecordError; no message has a password in it.
    """

    def __init__(self, address: str) -> None:
        wrong = RecordError(
            "the address of a record must be such as postgresql://user@server/database, "
            "with %40 for an @ and %2F for a / in a name or a password"
        )
        try:
            parameters = conninfo_to_dict(address)
        except ProgrammingError:  # what libpq says quotes the address
            raise wrong from None
        misread = f"{parameters.get('host', '')}{parameters.get('dbname', '')}"
        if "@" in misread or not re.fullmatch(r"[\d,]*", str(parameters.get("port", ""))):
            raise wrong  # a part of a password was taken for something else, and would be shown
        self.place = without_secrets(address)
        self.engine = create_engine(
            "postgresql+psycopg://",
            connect_args={**_SILENCE, **parameters, "client_encoding": "UTF8"},
            pool_size=1,  # a screen keeps one connection open, of the few that a server has
            pool_pre_ping=True,  # the server may have been started anew since the last letter
        )
        self._silent_until = 0.0
        event.listen(self.engine, "do_connect", self._connect)
        event.listen(self.engine, "reset", self._reset)

    def begin(self, connection: Connection, *, writes: bool, durable: bool, patience: float) -> None:
        """Begin a transaction that waits for others as many seconds."""
        options = connection.get_execution_options()
        unhurried = options.get("unhurried") or options.get("isolation_level") == "AUTOCOMMIT"
        driver: Any = connection.connection.driver_connection
        driver.deadline = None if unhurried else patience + _ANSWER * (1 if writes and not durable else 10)
        if options.get("isolation_level") == "AUTOCOMMIT":
            return
        statements = [f"SET LOCAL lock_timeout = {int(patience * 1000)}"]
        if writes:
            # One writes at a time, as in SQLite: counts are taken away and counted anew. What is read
            # after the lock is what is there by then, which a snapshot from before it would not show.
            statements.insert(0, "SET TRANSACTION ISOLATION LEVEL READ COMMITTED")
            statements.append(f"SELECT pg_advisory_xact_lock({_WRITING})")
            if not durable:
                statements.append("SET LOCAL synchronous_commit = off")
        else:
            statements.insert(0, "SET TRANSACTION ISOLATION LEVEL REPEATABLE READ, READ ONLY")
        connection.exec_driver_sql("; ".join(statements))

    def before_migrating(self) -> None:
        """Refuse a database that cannot hold every name."""
        with self.engine.connect() as connection:
            encoding = connection.exec_driver_sql("SHOW server_encoding").scalar()
        if encoding != "UTF8":
            raise RecordError(f"{self.place}: the database must have the encoding UTF8, not {encoding}")

    def after_migrating(self, connection: Connection) -> None:
        """Keep names, remarks and ink out of the planner's statistics."""
        for column in _PERSONAL:
            connection.exec_driver_sql(
                f"ALTER TABLE {column.table.name} ALTER COLUMN {column.name} SET STATISTICS 0"
            )

    def alone(self) -> AbstractContextManager[None]:
        """Nothing yet: others are shut out inside the transaction, by `shut_out`."""
        return nullcontext()

    def shut_out(self, connection: Connection) -> None:
        """Let nobody else read or write until this transaction ends; raises BusyError where others are there.

        A screen keeps its connection as long as it has the record open, and what it knows may be wrong then.
        """
        names = ", ".join(table.name for table in tables.metadata.sorted_tables)
        connection.exec_driver_sql(f"LOCK TABLE {names} IN ACCESS EXCLUSIVE MODE")
        others = connection.exec_driver_sql(
            "SELECT count(*) FROM pg_stat_activity WHERE datname = current_database()"
            " AND backend_type = 'client backend' AND pid <> pg_backend_pid()"
        ).scalar_one()
        if others:
            raise BusyError(
                f"{self.place}: other windows have the record open (connections: {others}); "
                "close them and try again"
            )

    def seal(self, connection: Connection, reason: str) -> None:
        """Refuse every change of the tables for that reason, from whichever program it comes."""
        connection.exec_driver_sql(
            f"CREATE FUNCTION {_SEAL}() RETURNS trigger LANGUAGE plpgsql AS "
            f"$$ BEGIN RAISE EXCEPTION '{reason}'; END $$"
        )
        for table in tables.metadata.sorted_tables:
            connection.exec_driver_sql(
                f"CREATE TRIGGER {_SEAL} BEFORE INSERT OR UPDATE OR DELETE OR TRUNCATE ON {table.name} "
                f"EXECUTE FUNCTION {_SEAL}()"
            )

    def unseal(self, connection: Connection) -> None:
        """Allow changes again."""
        connection.exec_driver_sql(f"DROP FUNCTION IF EXISTS {_SEAL}() CASCADE")

    def name(self, connection: Connection) -> str:
        """Which database it is, with its version."""
        return f"PostgreSQL {connection.exec_driver_sql('SHOW server_version').scalar_one()}"

    def faults(self, _: Connection) -> Sequence[str]:
        """The server minds its own files."""
        return ()

    def build_indexes(self, _: Connection) -> None:
        """The server minds its own indexes."""

    def size(self, connection: Connection) -> int:
        """Bytes of the database on the server's disk."""
        return int(connection.exec_driver_sql("SELECT pg_database_size(current_database())").scalar_one())

    def room(self) -> int | None:
        """Nobody here knows how much room the server's disk has."""
        return None

    def scrub(self, touched: Sequence[Table], patience: float) -> None:
        """Write the tables anew without what was deleted; as `Database.scrub`.

        Others wait meanwhile. Rows that somebody's open transaction may still see are copied as well;
        such a table is written once more.
        """
        until = monotonic() + patience
        with self.engine.connect().execution_options(isolation_level="AUTOCOMMIT") as connection:
            connection.exec_driver_sql("SET lock_timeout = '100ms'")  # who comes later waits behind this one
            for table in touched:
                while self._rewrite(connection, table):
                    if monotonic() > until:
                        raise BusyError(
                            f"{self.place}: it is erased from the record, but somebody is still reading it; "
                            "the last traces leave the server's tables with the next erasure"
                        )
                    sleep(0.05)

    def _connect(self, _: Any, __: Any, words: Sequence[Any], parameters: dict[str, Any]) -> _Connection:
        """Connect; not at all where the server did not answer a moment ago, so that no stroke waits again."""
        if monotonic() < self._silent_until:
            raise OperationalError(_SILENT)
        try:
            connection = _Connection.connect(*words, **parameters)
        except ConnectionTimeout:
            self._be_silent()
            raise
        version = connection.info.server_version // 10_000
        if version < OLDEST:
            connection.close()
            raise _TooOldError(f"the server must be PostgreSQL {OLDEST} or newer, not {version}")
        connection.on_silence = self._be_silent
        connection.deadline = _ANSWER
        return connection

    def _reset(self, driver: Any, *_: Any) -> None:
        """Whether the server is still there is asked before the next transaction says how long it waits."""
        driver.deadline = _ANSWER

    def _be_silent(self) -> None:
        self._silent_until = monotonic() + _AGAIN

    def _rewrite(self, connection: Connection, table: Table) -> bool:
        """Write a table anew; gives back whether it still has rows that were deleted."""
        notices: list[tuple[str | None, ...]] = []

        def on_notice(notice: Diagnostic) -> None:
            notices.append((notice.severity_nonlocalized, notice.message_primary, notice.message_detail))

        driver: Any = connection.connection.driver_connection
        driver.add_notice_handler(on_notice)
        try:
            connection.exec_driver_sql(f"VACUUM (FULL, VERBOSE) {table.name}")
        except DBAPIError as error:
            if getattr(error.orig, "sqlstate", None) != _LOCKED:
                raise
            return True
        finally:
            driver.remove_notice_handler(on_notice)
        for severity, message, _ in notices:
            if severity == "WARNING":  # the table was passed over
                raise ReadOnlyError(
                    f"{self.place}: it is erased from the record, but its traces are still in the server's "
                    f"files: {message}"
                )
        # "3 dead row versions cannot be removed yet", in the language of the server
        dead_rows = (re.match(r"\D*(\d+)", detail or "") for _, _, detail in notices)
        return any(int(count[1]) for count in dead_rows if count)

    def error(self, error: BaseException | None) -> RecordError:
        """What the driver raised, as one sentence."""
        state = getattr(error, "sqlstate", None) or ""
        if isinstance(error, _TooOldError):
            return RecordError(f"{self.place}: {error}")
        message = str(error).partition("\n")[0]
        if state == _LOCKED:
            return BusyError(f"{self.place}: another window is using the record; try again")
        if state == "53100":
            return DiskFullError(
                f"{self.place}: the server's disk is full; make room and try again (what was kept is safe)"
            )
        if state in ("25006", "42501"):
            return ReadOnlyError(f"{self.place}: the server does not let this program write there: {message}")
        if state.startswith(("08", "57P")) or (isinstance(error, OperationalError) and not state):
            how = "does not let this program in" if "FATAL" in message else "cannot be reached"
            reason = re.split(r"failed: (?:FATAL: *)?", message)[-1]
            return RecordError(f"{self.place}: the server of the record {how}: {reason}")
        return RecordError(f"{self.place}: the record could not be used: {message}")
