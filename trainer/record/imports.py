"""The record's imports: which attempts came in together from a file, so that they can be taken back."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime

from sqlalchemy import delete, func, select

from trainer.attempt import Attempt
from trainer.errors import RecordError
from trainer.record import mappers, tables
from trainer.record.attempts import put_many
from trainer.record.counters import cells_of, recount
from trainer.record.database import Database, inserted
from trainer.record.pupils import pupil_row


@dataclass(frozen=True)
class Import:
    """Letters of one pupil that came in together, and when."""

    number: int
    pupil: int
    at: datetime
    letters: int


class Imports:
    """What was taken in from files of ink."""

    def __init__(self, database: Database) -> None:
        self._database = database

    def keep(self, pupil: int, attempts: Sequence[Attempt], at: datetime) -> int:
        """Keep finished attempts of a pupil as one import; gives back its number. Raises PupilError."""
        with self._database.writing(durable=True) as connection:
            pupil_row(connection, pupil)
            row = {"pupil": pupil, "at": mappers.stamp(at)}
            number = inserted(connection, tables.ink_import, row)
            put_many(connection, attempts, taken_in=number)
        return number

    def find(self) -> tuple[Import, ...]:
        """Every import that is still there, the latest first, with the letters of it that are."""
        taken, attempt = tables.ink_import, tables.attempt
        letters = (
            select(func.count()).where(attempt.c.pupil == taken.c.pupil, attempt.c.taken_in == taken.c.id)
        ).scalar_subquery()
        query = select(taken, letters.label("letters")).order_by(taken.c.id.desc())
        with self._database.reading() as connection:
            rows = connection.execute(query).all()
        return tuple(Import(row.id, row.pupil, mappers.moment(row.at), row.letters) for row in rows)

    def take_back(self, number: int) -> int:
        """Erase the attempts of an import, from the bytes of the files too; gives back how many.

        Raises RecordError where there is no such import.
        """
        taken, attempt = tables.ink_import, tables.attempt
        with self._database.writing(durable=True) as connection:
            pupil = connection.scalar(select(taken.c.pupil).where(taken.c.id == number))
            if pupil is None:
                raise RecordError(f"the record has no import with the number {number}")
            of_import = (attempt.c.pupil == pupil) & (attempt.c.taken_in == number)
            numbers = list(connection.scalars(select(attempt.c.id).where(of_import)))
            cells = cells_of(connection, numbers)
            connection.execute(delete(attempt).where(of_import))
            connection.execute(delete(taken).where(taken.c.id == number))
            recount(connection, cells)
        self._database.scrub(*tables.metadata.sorted_tables)
        return len(numbers)
