"""The record's notes: what a teacher wrote down about a pupil."""

from __future__ import annotations

from datetime import UTC, datetime

from sqlalchemy import delete, select

from trainer.attempt import Note
from trainer.errors import RemarkError
from trainer.record import mappers, tables
from trainer.record.database import Database, added
from trainer.record.pupils import found

NOTE_LENGTH = 2000


class Notes:
    """The part of the record that keeps the notes."""

    _database: Database

    def notes(self, pupil: int) -> tuple[Note, ...]:
        """The notes about a pupil, newest first."""
        note = tables.note
        query = select(note).where(note.c.pupil == pupil).order_by(note.c.at.desc(), note.c.id.desc())
        with self._database.reading() as connection:
            return tuple(Note(row.id, mappers.moment(row.at), row.said) for row in connection.execute(query))

    def add_note(self, pupil: int, text: str, *, at: datetime | None = None) -> Note:
        """Keep a note; line breaks in it stay.

        Raises RemarkError for one that is empty or too long, PupilError for a pupil who is not there.
        """
        said, at = remark(text, "note", NOTE_LENGTH), at or datetime.now(UTC)
        with self._database.writing(durable=True) as connection:
            found(connection, pupil)
            number = added(connection, tables.note, {"pupil": pupil, "at": mappers.stamp(at), "said": said})
        return Note(number, at, said)

    def remove_note(self, number: int) -> None:
        """Erase a note, from the bytes of the files too. Raises RemarkError when there is no such note."""
        with self._database.writing(durable=True) as connection:
            if not connection.execute(delete(tables.note).where(tables.note.c.id == number)).rowcount:
                raise RemarkError(f"the record has no note with the number {number}")
        self._database.scrub(tables.note)


def remark(text: str, what: str, longest: int) -> str:
    """A text that somebody typed, without blanks around it and with plain line breaks."""
    said = "\n".join(line.rstrip() for line in text.strip().splitlines())
    if not said or len(said) > longest or not said.replace("\n", "").replace("\t", "").isprintable():
        raise RemarkError(f"a {what} must be 1 to {longest} characters that can be printed, not {len(said)}")
    return said
