"""The record's plans: the letters that a group, or one pupil alone, practices next."""

from __future__ import annotations

from collections.abc import Sequence

from sqlalchemy import Table, delete, insert, select

from trainer.record import tables
from trainer.record.database import Database
from trainer.record.pupils import DEFAULT_GROUP, pupil_row


class Plans:
    """The plans of groups and of pupils. A pupil's own plan comes before the group's."""

    def __init__(self, database: Database) -> None:
        self._database = database

    def get(self, group: str = DEFAULT_GROUP, pupil: int | None = None) -> tuple[str, ...]:
        """The letters a group practices next, in order, or those of a pupil's own plan; none if unplanned."""
        query = select(tables.plan.c.letter).order_by(tables.plan.c.place)
        query = query.where(tables.plan.c.class_group == group)
        if pupil is not None:
            query = select(tables.own_plan.c.letter).order_by(tables.own_plan.c.place)
            query = query.where(tables.own_plan.c.pupil == pupil)
        with self._database.reading() as connection:
            return tuple(connection.scalars(query))

    def for_pupil(self, pupil: int) -> tuple[str, ...]:
        """What this pupil practices next: the own plan, else the group's. Raises PupilError."""
        with self._database.reading() as connection:
            group = pupil_row(connection, pupil).class_group
        return self.get(group, pupil) or self.get(group)

    def set(self, group: str, letters: Sequence[str], pupil: int | None = None) -> None:
        """Put `letters` in the place of the group's plan, or of a pupil's own one.

        Whether the letters exist is for the caller to know; each is kept once. An empty own plan leaves
        the pupil to the group's. Raises PupilError for a pupil who is not there.
        """
        places = [{"place": place, "letter": letter} for place, letter in enumerate(dict.fromkeys(letters))]
        with self._database.writing(durable=True) as connection:
            table: Table = tables.plan
            owner: dict[str, str | int] = {"class_group": group}
            if pupil is not None:
                pupil_row(connection, pupil)
                table, owner = tables.own_plan, {"pupil": pupil}
            connection.execute(delete(table).filter_by(**owner))
            if places:
                connection.execute(insert(table), [{**owner, **place} for place in places])
