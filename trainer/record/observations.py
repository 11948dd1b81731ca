"""The record's observations: what a teacher saw of letters that were written on paper."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import replace
from datetime import date
from typing import Any

from sqlalchemy import Row, delete, select

from strokes.kinds import Kind
from trainer.attempt import Observation
from trainer.errors import OnDamage
from trainer.record import tables
from trainer.record.database import Database, inserted
from trainer.record.pupils import pupil_row


class Observations:
    """What a teacher ticked. It is her word, stands beside the attempts and is counted with none of them."""

    def __init__(self, database: Database) -> None:
        self._database = database

    def keep(self, observations: Iterable[Observation]) -> tuple[Observation, ...]:
        """Keep them all or none, each as one more; gives them back with their numbers.

        Whether the letters exist is for the caller to know. Raises PupilError for a pupil who is not there.
        """
        numbered = []
        with self._database.writing(durable=True) as connection:
            for observation in observations:
                pupil_row(connection, observation.pupil)
                number = inserted(connection, tables.observation, _row(observation))
                numbered.append(replace(observation, id=number))
        return tuple(numbered)

    def find(
        self, pupils: Sequence[int], letter: str | None = None, *, on_damage: OnDamage | None = None
    ) -> tuple[Observation, ...]:
        """What was seen of these pupils, the latest day first, then the last one kept.

        Damaged ones as in `Attempts.find`.
        """
        table = tables.observation
        query = select(table).where(table.c.pupil.in_(pupils))
        if letter is not None:
            query = query.where(table.c.letter == letter)
        with self._database.reading() as connection:
            rows = connection.execute(query.order_by(table.c.day.desc(), table.c.id.desc())).all()
        observations = []
        for row in rows:
            with self._database.naming(f"observation {row.id}", on_damage):
                observations.append(_observation(row))
        return tuple(observations)

    def remove(self, numbers: Sequence[int]) -> None:
        """Erase some, from the bytes of the files too; those that are gone already stay so."""
        with self._database.writing(durable=True) as connection:
            table = tables.observation
            connection.execute(delete(table).where(table.c.id.in_(numbers)))
        self._database.scrub(tables.observation)


def _row(observation: Observation) -> dict[str, Any]:
    return {
        "pupil": observation.pupil,
        "letter": observation.letter,
        "day": observation.day.isoformat(),
        "seen": " ".join(kind.value for kind in Kind if kind in observation.seen),
    }


def _observation(row: Row[Any]) -> Observation:
    """The observation of a row. Raises ValueError for a damaged one."""
    seen = tuple(map(Kind, row.seen.split()))
    return Observation(row.pupil, row.letter, date.fromisoformat(row.day), seen, row.id)
