"""The record: pupils, plans and every attempt with its raw ink, kept so that nothing a child wrote is lost.

    with Record.open(places.record_file()) as record:
        nella = record.add_pupil("Nella", hand="left")
        record.keep_draft(nella.id, "b", Step.COPY, ink)     # at every pen-up
        record.keep(Attempt(None, nella.id, "b", Step.COPY, now, ink, Verdict.of(report)))

Each part of it is a room of its own: `pupils`, `plans`, `attempts`, `keptink`, `judging`, `notes`,
`preferences`, `erasing` and `figures`.
"""

from __future__ import annotations

from datetime import UTC, datetime
from pathlib import Path
from types import TracebackType
from typing import Self

from trainer.errors import (
    BrokenRecordError,
    BusyError,
    DiskFullError,
    NewerRecordError,
    PupilError,
    ReadOnlyError,
    RecordError,
    RemarkError,
)
from trainer.record.attempts import Attempts
from trainer.record.database import Database
from trainer.record.erasing import Erasing, Holdings
from trainer.record.figures import Figures
from trainer.record.kept_ink import KeptInk
from trainer.record.notes import Notes
from trainer.record.plans import Plans
from trainer.record.preferences import KEEP_INK_DAYS, Preferences
from trainer.record.pupils import DEFAULT_GROUP
from trainer.record.verdicts import Judging

__all__ = [
    "DEFAULT_GROUP",
    "KEEP_INK_DAYS",
    "BrokenRecordError",
    "BusyError",
    "DiskFullError",
    "Holdings",
    "NewerRecordError",
    "PupilError",
    "ReadOnlyError",
    "Record",
    "RecordError",
    "RemarkError",
]


class Record(Figures, Attempts, KeptInk, Plans, Judging, Notes, Preferences, Erasing):
    """An open record. One thread uses it at a time; several programs may have the same one open."""

    def __init__(self, database: Database) -> None:
        super().__init__()
        self._database = database

    @classmethod
    def open(cls, place: Path | str, *, now: datetime | None = None) -> Record:
        """Open the record in a file, or at a `postgresql://` address; a missing file is made.

        Ink past its time is erased. Raises RecordError, and then leaves the record as it was.
        """
        record = cls(Database(place))
        try:
            record.forget_old_ink(now or datetime.now(UTC))
        except BaseException:
            record.close()
            raise
        return record

    @property
    def place(self) -> str:
        """Its file, or its address without a password."""
        return self._database.place

    def close(self) -> None:
        """Close it; nothing waits to be written."""
        self._database.close()

    def __enter__(self) -> Self:
        return self

    def __exit__(
        self, kind: type[BaseException] | None, error: BaseException | None, at: TracebackType | None
    ) -> None:
        self.close()
