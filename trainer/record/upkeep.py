"""What a record takes on its disk, how much room is left there, and when its last backup was made."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime

from trainer.record import mappers
from trainer.record.database import Database
from trainer.record.settings import VALUE_LENGTH, Settings

LITTLE_ROOM = 500_000_000
"""Free bytes below which a teacher is told. A term of a class takes some ten million; it is other programs
that fill a disk. Our choice."""

_LAST = "last backup"
"""The setting that says when the last backup was made, how large it was, and where it lies."""


@dataclass(frozen=True)
class Backup:
    """A backup: when it was made, its bytes, and its file; the file's path may be cut at its front."""

    at: datetime
    size: int
    file: str


class Upkeep:
    """The record as a thing that somebody looks after."""

    def __init__(self, database: Database, settings: Settings) -> None:
        self._database = database
        self._settings = settings

    @property
    def size(self) -> int:
        """Bytes of the record on its disk."""
        return self._database.size()

    @property
    def little_room(self) -> int | None:
        """The bytes that are left on its disk where they are few; None for enough, and for a server's."""
        room = self._database.room()
        return None if room is None or room >= LITTLE_ROOM else room

    @property
    def last_backup(self) -> Backup | None:
        """The last backup that was made; None where none was, or where what was noted is damaged."""
        at, _, rest = (self._settings.get(_LAST) or "").partition(" ")
        size, _, file = rest.partition(" ")
        moment = mappers.moment_or_none(at)
        return Backup(moment, int(size), file) if moment and size.isdecimal() else None

    def note_backup(self, backup: Backup) -> None:
        """Note a backup that was made."""
        noted = f"{mappers.stamp(backup.at)} {backup.size} "
        self._settings.set(_LAST, noted + backup.file[-(VALUE_LENGTH - len(noted)) :])
