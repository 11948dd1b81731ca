"""The record's settings: names and values as texts."""

from __future__ import annotations

from sqlalchemy import delete, insert, select

from trainer.errors import RecordError
from trainer.record import tables
from trainer.record.database import Database

NAME_LENGTH, VALUE_LENGTH = 60, 200


class Settings:
    """What a teacher set, by name. What a value may be is for the caller to know."""

    def __init__(self, database: Database) -> None:
        self._database = database

    def get(self, name: str, default: str | None = None) -> str | None:
        """The value of a setting, or `default` when it was never set."""
        query = select(tables.setting.c.value).where(tables.setting.c.name == name)
        with self._database.reading() as connection:
            value = connection.scalar(query)
        return default if value is None else value

    def set(self, name: str, value: str) -> None:
        """Set it, whether or not it was set before. Raises RecordError for a name or a value too long."""
        if not 1 <= len(name) <= NAME_LENGTH or len(value) > VALUE_LENGTH:
            raise RecordError(
                f"a setting must have a name of 1 to {NAME_LENGTH} characters and a value of at most "
                f"{VALUE_LENGTH}, not {len(name)} and {len(value)}"
            )
        with self._database.writing(durable=True) as connection:
            connection.execute(delete(tables.setting).where(tables.setting.c.name == name))
            connection.execute(insert(tables.setting).values(name=name, value=value))
