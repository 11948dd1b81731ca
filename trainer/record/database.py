"""The record's database and its transactions, whichever of the two it lies in: SQLite or PostgreSQL."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from contextlib import contextmanager
from functools import partial
from pathlib import Path
from typing import Any, Protocol

from sqlalchemy import Connection, Engine, Table, event, func, insert, select
from sqlalchemy.exc import DBAPIError

from trainer.errors import BrokenRecordError, NewerRecordError, RecordError
from trainer.places import is_address
from trainer.record.migrations import LAST_ERASED, MIGRATIONS, applied, migrate
from trainer.record.sqlite import SQLite
from trainer.record.tables import setting

PATIENCE = 5.0
"""How long, in seconds, one window waits for another one to finish its transaction."""

BRIEFLY = 0.25
"""The same at a pen-up: the child writes on, and the stroke is offered again with the next one."""

ADDRESS = "postgresql://"
"""What the address of a record on a server begins with; anything without `://` is a file."""


class Store(Protocol):
    """What the two kinds of databases do each in its own way. All of it raises RecordError."""

    place: str
    engine: Engine

    def begin(self, connection: Connection, *, writes: bool, durable: bool, patience: float) -> None:
        """Begin a transaction: two that write wait for each other, `patience` seconds at most."""

    def before_migrating(self) -> None:
        """Make a database ready for tables, or refuse it."""

    def after_migrating(self, connection: Connection) -> None:
        """Set what is set at the tables."""

    def scrub(self, tables: Sequence[Table], patience: float) -> None:
        """Leave nothing of what was deleted in the bytes of these tables."""

    def error(self, error: BaseException | None) -> RecordError:
        """What the driver raised, as one sentence."""


class Database:
    """One open database. `reading` and `writing` are its transactions; errors come out as RecordError.

    What is committed outlives the program's death (kill -9). A `durable` transaction waits for the disk too:
    that of a finished letter does, that of a pen-up does not.
    """

    def __init__(self, place: Path | str) -> None:
        self._store = _store_of(place)
        self._engine = self._store.engine
        event.listen(self._engine, "begin", self._on_begin)
        try:
            self._prepare()
        except BaseException:
            self.close()
            raise

    @property
    def place(self) -> str:
        """Its file, or its address without a password."""
        return self._store.place

    def close(self) -> None:
        """Close the connections; the last one to leave folds SQLite's side files into the record."""
        self._engine.dispose()

    @contextmanager
    def reading(self) -> Iterator[Connection]:
        """A transaction that sees one moment of the record and changes nothing."""
        with self._translating(), self._engine.connect() as connection, connection.begin():
            yield connection

    @contextmanager
    def writing(self, *, durable: bool = False, unhurried: bool = False) -> Iterator[Connection]:
        """A transaction that is committed when the block ends, and undone when it raises.

        An `unhurried` one may ask for what takes minutes; else a server that is silent is given up.
        """
        with self._translating(), self._engine.connect() as connection:
            connection = connection.execution_options(writes=True, durable=durable, unhurried=unhurried)
            with connection.begin():
                yield connection

    def scrub(self, *touched: Table) -> None:
        """Leave nothing of what was deleted from these tables in the bytes of the database's files.

        Raises BusyError while another window reads the record: the rows are gone, and the message says
        when the bytes go.
        """
        with self._translating():
            self._store.scrub(touched, PATIENCE)

    @contextmanager
    def naming_attempt(self, attempt: int) -> Iterator[None]:
        """Let the ValueError of a damaged row come out as BrokenRecordError, with the attempt's number."""
        try:
            yield
        except ValueError as error:
            raise BrokenRecordError(f"{self.place}: attempt {attempt} is damaged: {error}") from error

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
            with self._translating():
                self._store.before_migrating()
            migrate(partial(self.writing, durable=True, unhurried=True))
            with self.writing(durable=True) as connection:
                self._store.after_migrating(connection)

    @contextmanager
    def _translating(self) -> Iterator[None]:
        try:
            yield
        except DBAPIError as error:
            raise self._store.error(error.orig) from error

    def _on_begin(self, connection: Connection) -> None:
        options = connection.get_execution_options()
        writes, durable = bool(options.get("writes")), bool(options.get("durable"))
        patience = BRIEFLY if writes and not durable else PATIENCE
        self._store.begin(connection, writes=writes, durable=durable, patience=patience)


def inserted(connection: Connection, table: Table, row: Mapping[str, Any]) -> int:
    """Insert a row into a table with an `id`; gives back the id that it got, which no row had before."""
    (row,) = numbered(connection, table, [row])
    key = connection.execute(insert(table).values(row)).inserted_primary_key
    assert key is not None
    return int(key[0])


def numbered(
    connection: Connection, table: Table, rows: Sequence[Mapping[str, Any]]
) -> Sequence[Mapping[str, Any]]:
    """New rows with ids that none of the table had, erased ones included; a server gives them by itself.

    A page or a window that was opened before an erasure must never mean what came after it.
    """
    if connection.dialect.name != "sqlite":
        return rows
    erased = select(setting.c.value).where(setting.c.name == f"{LAST_ERASED}{table.name}")
    highest = connection.scalar(select(func.max(table.c.id))) or 0
    first = max(highest, int(connection.scalar(erased) or 0)) + 1
    return [{"id": number, **row} for number, row in enumerate(rows, first)]


def _store_of(place: Path | str) -> Store:
    if not is_address(place):
        return SQLite(Path(place))
    if not place.startswith(ADDRESS):  # the address is not repeated here, as a password may stand in it
        raise RecordError(f"the address of a record must begin with {ADDRESS}")
    try:
        from trainer.record.postgresql import PostgreSQL
    except ImportError as error:
        raise RecordError(
            'a record on a PostgreSQL server needs psycopg; install it with: pip install "psycopg[binary]"'
        ) from error
    return PostgreSQL(place)
