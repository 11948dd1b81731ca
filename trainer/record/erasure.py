"""Erasing from the record: what it holds of a pupil, listed first, and then nothing of it is left."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime

from sqlalchemy import ColumnElement, Connection, delete, func, select

from trainer.errors import PupilError
from trainer.record import mappers, tables
from trainer.record.database import Database
from trainer.record.lessons import forget_names


@dataclass(frozen=True)
class Holdings:
    """What the record holds of some pupils: how many of each, and from when to when they wrote."""

    attempts: int = 0
    with_ink: int = 0
    findings: int = 0
    notes: int = 0
    overrulings: int = 0
    first: datetime | None = None
    last: datetime | None = None
    observations: int = 0
    words: int = 0


class Erasure:
    """Erases pupils, from the tables and from the bytes of the files."""

    def __init__(self, database: Database) -> None:
        self._database = database

    def holdings(self, pupils: Sequence[int]) -> Holdings:
        """What erasing these pupils, given by number, would erase."""
        attempt, numbers = tables.attempt, list(pupils)
        written = attempt.c.pupil.in_(numbers)
        totals = select(
            func.count(), func.count(attempt.c.ink), func.min(attempt.c.at), func.max(attempt.c.at)
        ).where(written)
        findings, overrulings = (
            select(func.count())
            .select_from(table)
            .join(attempt, attempt.c.id == table.c.attempt)
            .where(written)
            for table in (tables.finding, tables.overruling)
        )
        notes, observations, words = (
            select(func.count()).where(table.c.pupil.in_(numbers))
            for table in (tables.note, tables.observation, tables.word_try)
        )
        with self._database.reading() as connection:
            attempts, with_ink, first, last = connection.execute(totals).one()
            finding_count, note_count, overruling_count, observation_count, words_count = (
                connection.scalar(query) or 0 for query in (findings, notes, overrulings, observations, words)
            )
        # what is damaged can be erased as well: then nobody knows from when to when they wrote
        ends = (mappers.moment_or_none(first), mappers.moment_or_none(last))
        counts = (attempts, with_ink, finding_count, note_count, overruling_count)
        return Holdings(*counts, *ends, observation_count, words_count)

    def remove_pupil(self, pupil: int) -> None:
        """Erase a pupil with everything that hangs on one, from the record and from the bytes of its files.

        Raises PupilError when there is no such pupil, BusyError when another window still reads the
        record: the pupil is gone then, and the message says when the last bytes go.
        """
        self.remove_pupils([pupil])

    def remove_pupils(self, pupils: Sequence[int]) -> None:
        """Erase some pupils likewise, all of them or none."""
        with self._database.writing(durable=True) as connection:
            forget_names(connection, _names(connection, tables.pupil.c.id.in_(pupils)))
            for pupil in pupils:
                if connection.execute(delete(tables.pupil).where(tables.pupil.c.id == pupil)).rowcount == 0:
                    raise PupilError(f"the record has no pupil with the number {pupil}")
        self._database.scrub(*tables.metadata.sorted_tables)

    def remove_group(self, group: str) -> None:
        """Erase all pupils of a group, archived ones too, with all that was set for it; raises likewise."""
        with self._database.writing(durable=True) as connection:
            of_group = tables.pupil.c.class_group == group
            forget_names(connection, _names(connection, of_group))
            if connection.execute(delete(tables.pupil).where(of_group)).rowcount == 0:
                raise PupilError(f"the record has no group named {group}")
            for table in (tables.plan, tables.taught, tables.planned_word, tables.lesson):
                connection.execute(delete(table).where(table.c.class_group == group))
            named = tables.setting.c.name == f"alphabet:{group}"
            connection.execute(delete(tables.setting).where(named))
        self._database.scrub(*tables.metadata.sorted_tables)


def _names(connection: Connection, which: ColumnElement[bool]) -> Sequence[str]:
    return connection.scalars(select(tables.pupil.c.name).where(which)).all()
