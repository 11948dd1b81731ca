"""The record's settings: names and values as texts, and how long raw ink is kept."""

from __future__ import annotations

from contextlib import suppress
from datetime import datetime, timedelta

from sqlalchemy import ColumnElement, delete, func, insert, select, update

from trainer.errors import BusyError, ReadOnlyError, RecordError
from trainer.record import mappers, tables
from trainer.record.database import Database

KEEP_INK_DAYS = 90
"""How long raw ink is kept unless the record says otherwise: about a term, to be shown to a family."""

LONGEST_INK_DAYS = 36_500
NAME_LENGTH, VALUE_LENGTH = 60, 200


class Preferences:
    """The part of the record that keeps the settings."""

    _database: Database

    def setting(self, name: str, default: str | None = None) -> str | None:
        """The value of a setting, or `default` when it was never set."""
        query = select(tables.setting.c.value).where(tables.setting.c.name == name)
        with self._database.reading() as connection:
            value = connection.scalar(query)
        return default if value is None else value

    def set_setting(self, name: str, value: str) -> None:
        """Set it; what a value may be is for the caller to know. Raises RecordError for one too long."""
        if not 1 <= len(name) <= NAME_LENGTH or len(value) > VALUE_LENGTH:
            raise RecordError(
                f"a setting must have a name of 1 to {NAME_LENGTH} characters and a value of at most "
                f"{VALUE_LENGTH}, not {len(name)} and {len(value)}"
            )
        with self._database.writing(durable=True) as connection:
            connection.execute(delete(tables.setting).where(tables.setting.c.name == name))
            connection.execute(insert(tables.setting).values(name=name, value=value))

    @property
    def keep_ink_days(self) -> int:
        """How many days raw ink is kept; verdicts stay until the pupil is removed."""
        return int(self.setting("keep_ink_days") or KEEP_INK_DAYS)

    @keep_ink_days.setter
    def keep_ink_days(self, days: int) -> None:
        if not 1 <= days <= LONGEST_INK_DAYS:
            raise RecordError(f"ink must be kept for at least 1 day and at most 100 years, not {days} days")
        self.set_setting("keep_ink_days", str(days))

    def ink_before(self, moment: datetime) -> int:
        """How many attempts older than that still have their ink."""
        query = select(func.count()).select_from(tables.attempt).where(_inked_before(moment))
        with self._database.reading() as connection:
            return int(connection.scalar(query) or 0)

    def forget_old_ink(self, now: datetime) -> int:
        """Erase the ink of attempts older than `keep_ink_days`, keep their verdicts; tells how many."""
        old = _inked_before(now - timedelta(days=self.keep_ink_days))
        with self._database.reading() as connection:
            if connection.execute(select(tables.attempt.c.id).where(old).limit(1)).first() is None:
                return 0
        with self._database.writing(durable=True) as connection:
            forgotten = connection.execute(update(tables.attempt).where(old).values(ink=None)).rowcount
        if forgotten:
            # It keeps nobody from the record: the last bytes go another day, with the ink of that day.
            with suppress(BusyError, ReadOnlyError):
                self._database.scrub(tables.attempt)
        return forgotten


def _inked_before(moment: datetime) -> ColumnElement[bool]:
    return (tables.attempt.c.at < mappers.stamp(moment)) & tables.attempt.c.ink.is_not(None)
