"""An open record: the parts of it, over one database.

with Record.open(places.record_file()) as record:
    nella = record.pupils.add("Nella", hand="left")
    record.attempts.keep_draft(nella.id, "b", Step.COPY, ink)     # at every pen-up
    record.attempts.keep(Attempt(None, nella.id, "b", Step.COPY, now, ink, Verdict.of(report)))
"""

from __future__ import annotations

from datetime import UTC, datetime
from pathlib import Path
from types import TracebackType
from typing import Self

from trainer.record.attempts import Attempts
from trainer.record.database import Database
from trainer.record.deliveries import Deliveries, Screens
from trainer.record.erasure import Erasure
from trainer.record.figures import Figures
from trainer.record.imports import Imports
from trainer.record.kept_ink import KeptInk
from trainer.record.lessons import Lessons
from trainer.record.notes import Notes
from trainer.record.observations import Observations
from trainer.record.plans import Plans
from trainer.record.pupils import Pupils
from trainer.record.settings import Settings
from trainer.record.upkeep import Upkeep
from trainer.record.verdicts import Verdicts
from trainer.record.word_tries import WordTries
from trainer.record.words import Words


class Record:
    """An open record. One thread uses it at a time; several programs may have the same one open.

    Whatever its parts do raises RecordError when the database cannot be read or written.
    """

    def __init__(self, database: Database) -> None:
        self._database = database
        self.pupils = Pupils(database)
        self.plans = Plans(database)
        self.lessons = Lessons(database)
        self.attempts = Attempts(database)
        self.imports = Imports(database)
        self.verdicts = Verdicts(database)
        self.notes = Notes(database)
        self.observations = Observations(database)
        self.settings = Settings(database)
        self.words = Words(database)
        self.word_tries = WordTries(database)
        self.ink = KeptInk(database, self.settings)
        self.figures = Figures(database, self.pupils)
        self.erasure = Erasure(database)
        self.upkeep = Upkeep(database, self.settings)
        self.deliveries = Deliveries(database)
        self.screens = Screens(database)

    @classmethod
    def open(cls, place: Path | str, *, now: datetime | None = None) -> Self:
        """Open the record in a file, or at a `postgresql://` address; a missing file is made.

        Ink past its time is erased. Raises RecordError, and then leaves the record as it was.
        """
        record = cls(Database(place))
        try:
            record.ink.forget_old(now or datetime.now(UTC))
        except BaseException:
            record.close()
            raise
        return record

    @property
    def place(self) -> str:
        """Its file, or its address without a password."""
        return self._database.place

    @property
    def database(self) -> Database:
        """Its database, for what looks after a record as a whole."""
        return self._database

    def close(self) -> None:
        """Close it; nothing waits to be written."""
        self._database.close()

    def __enter__(self) -> Self:
        return self

    def __exit__(
        self, kind: type[BaseException] | None, error: BaseException | None, at: TracebackType | None
    ) -> None:
        self.close()
