"""What screens deliver from their outboxes: each item once, however often it comes, and how each screen is.

An item has an id of its own, which its row keeps: an item that comes again, as its sender never heard that it
was committed, is known by it. One writes at a time, so nobody delivers it between the look and the insertion;
a unique index stands behind that.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta
from typing import Any

from sqlalchemy import Connection, delete, func, insert, select
from sqlalchemy.exc import DataError, IntegrityError, ProgrammingError

from trainer.record import mappers, tables
from trainer.record.counters import Cell, recount
from trainer.record.database import Database, inserted
from trainer.record.marks import give_identity, identity

SCREEN_NAME = 60
"""Characters of a screen's name."""

LONG_CLOSED = timedelta(days=90)
"""A screen that was closed so long ago, with nothing waiting, is forgotten. Our choice: about a term."""

KINDS = {"attempt": tables.attempt, "word_try": tables.word_try}
"""The kinds of items, and the tables that they go into."""


@dataclass(frozen=True)
class Item:
    """One attempt, or try at a word, on its way: its row, and the rows of its findings, without numbers.

    `id` are 32 hexadecimal digits that no other item has, `kind` is one of `KINDS`.
    """

    id: str
    kind: str
    pupil: int
    row: Mapping[str, Any]
    findings: Sequence[Mapping[str, Any]] = ()


@dataclass(frozen=True)
class ScreenState:
    """What a screen says of itself: whether its window is open, and how many items wait on it.

    `code` are 32 characters that no other screen has; `little_room` is whether its own disk is nearly full.
    """

    code: str
    name: str
    waiting: int = 0
    open: bool = True
    little_room: bool = False


@dataclass(frozen=True)
class Screen:
    """A screen as it was when it was heard from last, `silent` ago by the record's own clock."""

    state: ScreenState
    silent: timedelta


@dataclass(frozen=True)
class Taken:
    """What did not go in: pupils who are not in the record any more, and the ids of damaged items."""

    erased: frozenset[int]
    damaged: frozenset[str]


class Deliveries:
    """Takes what screens wrote."""

    def __init__(self, database: Database) -> None:
        self._database = database

    def identity(self) -> str:
        """What tells this record from any other, wherever it is moved: an outbox is for that one alone."""
        with self._database.reading() as connection:
            known = identity(connection)
        if known is not None:
            return known
        with self._database.writing(durable=True) as connection:
            return give_identity(connection)

    def take(self, items: Sequence[Item], screen: ScreenState | None = None) -> Taken:
        """Keep the items, all in one transaction, and how the screen is once they have gone, if that is told.

        When this returns they are on the disk; after an error nobody knows, and they may come again.
        Those of erased pupils and damaged ones are left out.
        """
        damaged: set[str] = set()
        with self._database.writing(durable=True) as connection:
            pupil = tables.pupil.c.id
            named = {item.pupil for item in items}
            there = set(connection.scalars(select(pupil).where(pupil.in_(named)))) if items else set()
            known = _known(connection, items)
            new = [item for item in items if item.pupil in there and item.id not in known]
            recount(connection, _put(connection, new, damaged))
            if screen is not None:
                _note(connection, screen)
        return Taken(frozenset(named - there), frozenset(damaged))


class Screens:
    """The screens that deliver into this record."""

    def __init__(self, database: Database) -> None:
        self._database = database

    def find(self) -> tuple[Screen, ...]:
        """Those that were heard from, by name; long closed ones only where something waits on them."""
        with self._database.reading() as connection:
            now = _now(connection)
            rows = connection.execute(select(tables.screen)).all()
        screens = [
            Screen(
                ScreenState(row.code, row.name, row.waiting, row.open, row.little_room),
                max(timedelta(0), now - (mappers.moment_or_none(row.heard) or now)),
            )
            for row in rows
        ]
        return tuple(sorted(screens, key=lambda screen: (screen.state.name.casefold(), screen.state.code)))

    def forget(self, code: str) -> None:
        """Take a screen off the list; one that is heard from again comes back."""
        with self._database.writing(durable=True) as connection:
            connection.execute(delete(tables.screen).where(tables.screen.c.code == code))


def _known(connection: Connection, items: Sequence[Item]) -> set[str]:
    """The ids of those items that are in the record already."""
    known: set[str] = set()
    for kind, table in KINDS.items():
        ids = [item.id for item in items if item.kind == kind]
        if ids:
            known |= set(connection.scalars(select(table.c.sent_as).where(table.c.sent_as.in_(ids))))
    return known


def _put(connection: Connection, items: Sequence[Item], damaged: set[str]) -> set[Cell]:
    """Insert items, and note the ids of those that the database does not take; gives what to count anew."""
    cells: set[Cell] = set()
    try:
        with connection.begin_nested():
            for item in items:
                number = inserted(connection, KINDS[item.kind], {**item.row, "sent_as": item.id})
                if item.findings:
                    rows = [{**finding, "attempt": number} for finding in item.findings]
                    connection.execute(insert(tables.finding), rows)
                if item.kind == "attempt":
                    cells.add((item.pupil, item.row["letter"], item.row["day"]))
    except (DataError, IntegrityError, ProgrammingError):
        if len(items) == 1:
            damaged.add(items[0].id)
            return set()
        return set().union(*(_put(connection, [item], damaged) for item in items))
    return cells


def _note(connection: Connection, state: ScreenState) -> None:
    """Note how a screen is, in the place of what it said before, and forget those that are long gone."""
    table, now = tables.screen, _now(connection)
    gone = ~table.c.open & (table.c.waiting == 0) & (table.c.heard < mappers.stamp(now - LONG_CLOSED))
    connection.execute(delete(table).where((table.c.code == state.code) | gone))
    row = {
        "code": state.code,
        "name": state.name[:SCREEN_NAME],
        "heard": mappers.stamp(now),
        "waiting": state.waiting,
        "open": state.open,
        "little_room": state.little_room,
    }
    connection.execute(insert(table).values(row))


def _now(connection: Connection) -> datetime:
    """This moment by the clock of the record's machine: the clocks of screens may differ."""
    if connection.dialect.name == "sqlite":
        return datetime.now(UTC)
    now: datetime = connection.execute(select(func.clock_timestamp())).scalar_one()
    return now
