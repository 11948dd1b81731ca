"""What a record says of itself when it is moved: that it went elsewhere, or that it is not whole yet.

A mark stands among the names of the migrations, so that older versions of the program refuse the record too.
"""

from __future__ import annotations

import uuid
from collections.abc import Collection
from datetime import UTC, datetime

from sqlalchemy import Connection, delete, insert, select
from sqlalchemy import text as sql

from trainer.errors import MovedRecordError
from trainer.record.migrations import NOTES, applied
from trainer.record.tables import setting

WENT = "moved elsewhere"
"""The mark of a record that was moved."""

_COMING = "being moved here: "
"""Begins the mark of a record that is not whole yet; the identity of what is moved follows."""

_WHERE, _IDENTITY = "moved to", "identity"
"""The settings that hold where a moved record went, and what tells a record from any other."""

_LONGEST = 200
"""Characters of a setting's value."""


def names(connection: Connection) -> list[str]:
    """The names of the steps that were applied, and of the marks; none where there are no tables."""
    return applied(connection) or []


def is_mark(name: str) -> bool:
    """Whether a name among the migrations is a mark."""
    return name == WENT or name.startswith(_COMING)


def refuse_marked(place: str, names: Collection[str], connection: Connection) -> None:
    """Raise MovedRecordError where one of the names is a mark."""
    if WENT in names:
        where = _value(connection, _WHERE)
        raise MovedRecordError(f"{place}: this record was moved to {where}; open it there")
    if any(map(is_mark, names)):
        raise MovedRecordError(f"{place}: a record is being moved here; run that move again to finish it")


def identity(connection: Connection) -> str | None:
    """What tells this record from any other, wherever it is moved; None for one that was never moved."""
    return _value(connection, _IDENTITY)


def give_identity(connection: Connection, new: str | None = None) -> str:
    """The identity of a record, which it gets now where it has none: the `new` one, or one of its own."""
    name = identity(connection)
    if name is None:
        name = new or uuid.uuid4().hex
        _set(connection, _IDENTITY, name)
    return name


def mark_as_gone(connection: Connection, where: str) -> None:
    """Note that the record was moved, and to which place."""
    _set(connection, _WHERE, where[-_LONGEST:])
    _note(connection, WENT)


def mark_as_coming(connection: Connection, identity: str) -> None:
    """Note that a record of that identity is being moved here, in the place of any other mark."""
    unmark(connection)
    _note(connection, f"{_COMING}{identity}")


def coming(names: Collection[str]) -> str | None:
    """The identity of the record that is being moved here; None where none is."""
    return next((name.removeprefix(_COMING) for name in names if name.startswith(_COMING)), None)


def unmark(connection: Connection) -> None:
    """Take every mark away."""
    for name in filter(is_mark, names(connection)):
        connection.execute(sql(f"DELETE FROM {NOTES} WHERE name = :name"), {"name": name})


def _note(connection: Connection, name: str) -> None:
    now = datetime.now(UTC).strftime("%Y-%m-%dT%H:%M:%S.%fZ")
    connection.execute(
        sql(f"INSERT INTO {NOTES} (name, applied) VALUES (:name, :applied)"), {"name": name, "applied": now}
    )


def _value(connection: Connection, name: str) -> str | None:
    return connection.scalar(select(setting.c.value).where(setting.c.name == name))


def _set(connection: Connection, name: str, value: str) -> None:
    connection.execute(delete(setting).where(setting.c.name == name))
    connection.execute(insert(setting).values(name=name, value=value))
