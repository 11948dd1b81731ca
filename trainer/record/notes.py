"""The record's notes: what a teacher wrote down about a pupil."""

from __future__ import annotations

from datetime import UTC, datetime

from sqlalchemy import delete, select

from trainer.attempt import Note
from trainer.errors import OnDamage, RemarkError
from trainer.record import mappers, tables
from trainer.record.database import Database, inserted
from trainer.record.pupils import pupil_row

NOTE_LENGTH = 2000


class Notes:
    """The notes about pupils."""

    def __init__(self, database: Database) -> None:
        self._database = database

    def find(self, pupil: int, *, on_damage: OnDamage | None = None) -> tuple[Note, ...]:
        """The notes about a pupil, newest first; damaged ones as in `Attempts.find`."""
        note = tables.note
        query = select(note).where(note.c.pupil == pupil).order_by(note.c.at.desc(), note.c.id.desc())
        with self._database.reading() as connection:
            rows = connection.execute(query).all()
        notes = []
        for row in rows:
            with self._database.naming(f"note {row.id}", on_damage):
                notes.append(mappers.note_from(row))
        return tuple(notes)

    def add(self, pupil: int, text: str, *, at: datetime | None = None) -> Note:
        """Keep a note; line breaks in it stay.

        Raises RemarkError for one that is empty or too long, PupilError for a pupil who is not there.
        """
        text, at = remark(text, "note", NOTE_LENGTH), at or datetime.now(UTC)
        with self._database.writing(durable=True) as connection:
            pupil_row(connection, pupil)
            row = {"pupil": pupil, "at": mappers.stamp(at), "said": text}
            number = inserted(connection, tables.note, row)
        return Note(number, at, text)

    def remove(self, number: int) -> None:
        """Erase a note, from the bytes of the files too. Raises RemarkError when there is no such note."""
        with self._database.writing(durable=True) as connection:
            if not connection.execute(delete(tables.note).where(tables.note.c.id == number)).rowcount:
                raise RemarkError(f"the record has no note with the number {number}")
        self._database.scrub(tables.note)


def remark(text: str, what: str, longest: int) -> str:
    """A text that somebody typed, without blanks around it and with plain line breaks.

    Raises RemarkError, which names it as `what`, for an empty, too long or unprintable text.
    """
    plain = "\n".join(line.rstrip() for line in text.strip().splitlines())
    if not plain or len(plain) > longest or not plain.replace("\n", "").replace("\t", "").isprintable():
        raise RemarkError(f"a {what} must be 1 to {longest} characters that can be printed, not {len(plain)}")
    return plain
