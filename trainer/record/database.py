"""The record's database and its transactions, whichever of the two it lies in: SQLite or PostgreSQL."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from contextlib import AbstractContextManager, contextmanager
from functools import partial
from pathlib import Path
from typing import Any, Protocol

from sqlalchemy import Connection, Dialect, Engine, Table, delete, event, func, insert, select
from sqlalchemy import text as sql
from sqlalchemy.exc import DBAPIError

from trainer.errors import BrokenRecordError, MovedRecordError, NewerRecordError, OnDamage, RecordError
from trainer.places import is_address
from trainer.record.marks import is_mark, mark_as_gone, refuse_marked, unmark
from trainer.record.migrations import LAST_ERASED, MIGRATIONS, applied, migrate
from trainer.record.sqlite import SQLite
from trainer.record.tables import metadata, setting

PATIENCE = 5.0
"""How long, in seconds, one window waits for another one to finish its transaction."""

BRIEFLY = 0.25
"""The same at a pen-up: the child writes on, and the stroke is offered again with the next one."""

_MOVED = "this record was moved"
"""What a sealed database answers to whoever still had it open."""

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

    def alone(self) -> AbstractContextManager[None]:
        """What shuts others out before a transaction begins; `shut_out` does the rest inside it."""

    def shut_out(self, connection: Connection) -> None:
        """Let nobody else use the record until the transaction ends, or raise BusyError."""

    def seal(self, connection: Connection, reason: str) -> None:
        """Refuse every change of the tables from now on; what the driver raises then says the reason."""

    def unseal(self, connection: Connection) -> None:
        """Allow changes again."""

    def name(self, connection: Connection) -> str:
        """Which database it is, with its version."""

    def faults(self, connection: Connection) -> Sequence[str]:
        """What is wrong with the database's own files, in its words."""

    def build_indexes(self, connection: Connection) -> None:
        """Build every index anew."""

    def size(self, connection: Connection) -> int:
        """Bytes on the disk."""

    def room(self) -> int | None:
        """Bytes that are free on the disk; None where nobody here knows."""

    def scrub(self, tables: Sequence[Table], patience: float) -> None:
        """Leave nothing of what was deleted in the bytes of these tables."""

    def error(self, error: BaseException | None) -> RecordError:
        """What the driver raised, as one sentence."""


class Database:
    """One open database. `reading` and `writing` are its transactions; errors come out as RecordError.

    What is committed outlives the program's death (kill -9). A `durable` transaction waits for the disk too:
    that of a finished letter does, that of a pen-up does not.
    """

    def __init__(self, place: Path | str, *, marked: bool = False, migrates: bool = True) -> None:
        """Open it, or make it; one that was moved away, or is not whole yet, only with `marked`.

        Without `migrates` its tables stay as they are, and only looking at them makes sense.
        """
        self.store = _store_of(place)
        self._engine = self.store.engine
        event.listen(self._engine, "begin", self._on_begin)
        try:
            self._prepare(marked=marked, migrates=migrates)
        except BaseException:
            self.close()
            raise

    @property
    def place(self) -> str:
        """Its file, or its address without a password."""
        return self.store.place

    @property
    def dialect(self) -> Dialect:
        """The words in which it is spoken to."""
        return self._engine.dialect

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

    @contextmanager
    def alone(self) -> Iterator[Connection]:
        """A durable transaction during which nobody else has the record open. Raises BusyError."""
        with (
            self._translating(),
            self.store.alone(),
            self.writing(durable=True, unhurried=True) as connection,
        ):
            self.store.shut_out(connection)
            yield connection

    def leave_to(self, connection: Connection, where: str) -> None:
        """The record was moved to a place: from this transaction on nothing is written here."""
        mark_as_gone(connection, where)
        self.store.seal(connection, _MOVED)

    def unseal(self, connection: Connection) -> None:
        """Take back what `leave_to` did."""
        self.store.unseal(connection)
        unmark(connection)

    def size(self) -> int:
        """Bytes that it has on the disk."""
        with self.reading() as connection:
            return self.store.size(connection)

    def room(self) -> int | None:
        """Bytes that are free on its disk; None where it is a server's."""
        return self.store.room()

    def scrub(self, *touched: Table) -> None:
        """Leave nothing of what was deleted from these tables in the bytes of the database's files.

        Raises BusyError while another window reads the record: the rows are gone, and the message says
        when the bytes go.
        """
        with self._translating():
            self.store.scrub(touched, PATIENCE)

    @contextmanager
    def naming(self, row: str, on_damage: OnDamage | None = None) -> Iterator[None]:
        """Let the ValueError of a damaged row come out as BrokenRecordError that names it: `attempt 17`.

        Where somebody is to be told `on_damage`, nothing is raised, and the row costs only itself.
        """
        try:
            yield
        except (ValueError, TypeError) as error:
            damage = BrokenRecordError(f"{self.place}: {row} is damaged: {error}")
            if on_damage is None:
                raise damage from error
            on_damage(damage)

    def naming_attempt(self, attempt: int, on_damage: OnDamage | None = None) -> AbstractContextManager[None]:
        """`naming` for an attempt, by its number."""
        return self.naming(f"attempt {attempt}", on_damage)

    def _prepare(self, *, marked: bool, migrates: bool) -> None:
        with self.reading() as connection:
            steps = applied(connection)
            if steps and not marked:
                refuse_marked(self.place, steps, connection)
        if steps is None:
            raise BrokenRecordError(
                f"{self.place} is a database, but not a record of this program; nothing was changed"
            )
        known = {step.name for step in MIGRATIONS}
        if any(name not in known and not is_mark(name) for name in steps):
            raise NewerRecordError(
                f"{self.place} was written by a newer version of this program; "
                "install that version to open it (nothing was changed)"
            )
        if migrates and not known <= set(steps):
            with self._translating():
                self.store.before_migrating()
            migrate(partial(self.writing, durable=True, unhurried=True))
            with self.writing(durable=True) as connection:
                self.store.after_migrating(connection)

    @contextmanager
    def _translating(self) -> Iterator[None]:
        try:
            yield
        except DBAPIError as error:
            if _MOVED in str(error.orig):
                raise MovedRecordError(
                    f"{self.place}: {_MOVED}; close this window and open it there"
                ) from error
            raise self.store.error(error.orig) from error

    def _on_begin(self, connection: Connection) -> None:
        options = connection.get_execution_options()
        writes, durable = bool(options.get("writes")), bool(options.get("durable"))
        patience = BRIEFLY if writes and not durable else PATIENCE
        self.store.begin(connection, writes=writes, durable=durable, patience=patience)


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
    first = last_number(connection, table) + 1
    return [{"id": number, **row} for number, row in enumerate(rows, first)]


def last_number(connection: Connection, table: Table) -> int:
    """The highest number that any row of a table with an `id` has or had; 0 where there was none."""
    highest = connection.scalar(select(func.max(table.c.id))) or 0
    if connection.dialect.name == "sqlite":
        erased = select(setting.c.value).where(setting.c.name == f"{LAST_ERASED}{table.name}")
        return max(highest, int(connection.scalar(erased) or 0))
    sequence = connection.scalar(select(func.pg_get_serial_sequence(table.name, "id")))
    given = sql(f"SELECT CASE WHEN is_called THEN last_value ELSE last_value - 1 END FROM {sequence}")
    return max(highest, connection.scalar(given) or 0)


def number_after(connection: Connection, table: Table, number: int) -> None:
    """From now on, rows of a table get higher numbers than that, and than any row has or had."""
    number = max(number, last_number(connection, table))
    if connection.dialect.name != "sqlite":
        connection.exec_driver_sql(f"ALTER TABLE {table.name} ALTER id RESTART WITH {number + 1}")
        return
    name = f"{LAST_ERASED}{table.name}"
    connection.execute(delete(setting).where(setting.c.name == name))
    connection.execute(insert(setting).values(name=name, value=str(number)))


def numbered_tables() -> tuple[Table, ...]:
    """The tables whose rows have a number that is never given again."""
    return tuple(table for table in metadata.sorted_tables if "id" in table.c)


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
