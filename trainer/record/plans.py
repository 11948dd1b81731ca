"""The record's plans: the letters that a group, or one pupil alone, practices next.

What is added for some days comes before a plan: letters for single pupils, letters and words of a lesson.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from datetime import date, datetime

from sqlalchemy import Connection, Table, delete, insert, select

from trainer.attempt import Addition
from trainer.record import lessons, mappers, tables
from trainer.record.database import Database
from trainer.record.lessons import ADDED_FOR
from trainer.record.pupils import DEFAULT_GROUP, pupil_row


class Plans:
    """The plans of groups and of pupils, and what was added before them for some days.

    A pupil's own plan comes in place of the group's. Added letters come before either and change neither; so
    do those of a lesson, from its day on.
    """

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

    def for_group(self, group: str = DEFAULT_GROUP, *, today: date | None = None) -> tuple[str, ...]:
        """What a group practices next: the letters of its lessons, the latest first, then its plan."""
        with self._database.reading() as connection:
            added = _of_lessons(connection, group, lessons.LETTER, today or date.today())
        return tuple(dict.fromkeys([*(letter for _, letter in added), *self.get(group)]))

    def for_pupil(self, pupil: int, *, today: date | None = None) -> tuple[str, ...]:
        """What this pupil practices next: what was added, then the own plan, else the group's.

        Of what was added the latest day comes first, and on a day its lesson: the letters of the lesson, then
        those for which the pupil sits with others. Raises PupilError.
        """
        today = today or date.today()
        with self._database.reading() as connection:
            group = pupil_row(connection, pupil).class_group
            dated = _of_lessons(connection, group, lessons.LETTER, today)
            seat, lesson = tables.lesson_seat, tables.lesson
            sits = select(lesson.c.day, seat.c.letter).join(lesson).where(seat.c.pupil == pupil)
            sits = sits.where(lessons.counts(today), lesson.c.class_group == group)
            sits = sits.order_by(lesson.c.id.desc(), seat.c.place)
            dated += [(row.day, row.letter) for row in connection.execute(sits)]
        added = self.added(today=today).get(pupil, ())
        dated += [(addition.day.isoformat(), addition.letter) for addition in added]
        first = [letter for _, letter in sorted(dated, key=lambda entry: entry[0], reverse=True)]
        return tuple(dict.fromkeys([*first, *(self.get(group, pupil) or self.get(group))]))

    def added(self, *, today: date | None = None) -> Mapping[int, tuple[Addition, ...]]:
        """The letters that were added for each pupil by number and still count; the last ones come first."""
        added, since = tables.plan_addition, (today or date.today()) - ADDED_FOR
        query = select(added).where(added.c.day > since.isoformat())
        with self._database.reading() as connection:
            rows = connection.execute(query).all()
        additions: dict[int, tuple[Addition, ...]] = {}
        for row in sorted(sorted(rows, key=lambda row: row.place), key=lambda row: row.day, reverse=True):
            addition = Addition(row.letter, date.fromisoformat(row.day), mappers.moment_or_none(row.at))
            additions[row.pupil] = (*additions.get(row.pupil, ()), addition)
        return additions

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

    def add(
        self,
        letters: Mapping[int, Sequence[str]],
        *,
        today: date | None = None,
        at: datetime | None = None,
    ) -> None:
        """Add letters before the plans of pupils, given by number; one added before counts from today anew.

        `at` is this moment, for who wants to know what was written since. Whether the letters exist is for
        the caller to know. Raises PupilError for a pupil who is not there.
        """
        day, moment = (today or date.today()).isoformat(), at and mappers.stamp(at)
        with self._database.writing(durable=True) as connection:
            for pupil, own in letters.items():
                pupil_row(connection, pupil)
                rows = [
                    {"pupil": pupil, "letter": letter, "day": day, "place": place, "at": moment}
                    for place, letter in enumerate(dict.fromkeys(own))
                ]
                added = tables.plan_addition
                connection.execute(delete(added).where(added.c.pupil == pupil, added.c.letter.in_(own)))
                if rows:
                    connection.execute(insert(added), rows)

    def words(self, group: str = DEFAULT_GROUP, *, today: date | None = None) -> tuple[str, ...]:
        """The words that come first for a group: those of its lessons, the latest first, then those named."""
        with self._database.reading() as connection:
            added = _of_lessons(connection, group, lessons.WORD, today or date.today())
        return tuple(dict.fromkeys([*(word for _, word in added), *self.named_words(group)]))

    def named_words(self, group: str = DEFAULT_GROUP) -> tuple[str, ...]:
        """The words that a teacher named for a group beside any lesson, in their order."""
        query = select(tables.planned_word.c.word).order_by(tables.planned_word.c.place)
        with self._database.reading() as connection:
            return tuple(connection.scalars(query.where(tables.planned_word.c.class_group == group)))

    def set_words(self, group: str, words: Sequence[str]) -> None:
        """Put `words` in the place of those that are planned for a group; each is kept once.

        Whether they can be written is for the caller to know.
        """
        table = tables.planned_word
        rows = [
            {"class_group": group, "place": place, "word": word}
            for place, word in enumerate(dict.fromkeys(words))
        ]
        with self._database.writing(durable=True) as connection:
            connection.execute(delete(table).where(table.c.class_group == group))
            if rows:
                connection.execute(insert(table), rows)

    def take_back(self, letters: Mapping[int, Sequence[str]]) -> None:
        """Undo `add`; what was not added, or is gone already, stays so."""
        added = tables.plan_addition
        with self._database.writing(durable=True) as connection:
            for pupil, own in letters.items():
                connection.execute(delete(added).where(added.c.pupil == pupil, added.c.letter.in_(own)))


def _of_lessons(connection: Connection, group: str, use: str, today: date) -> list[tuple[str, str]]:
    """The letters or words of the lessons of a group that count, each with its day; the last kept first."""
    lesson, entry = tables.lesson, tables.lesson_entry
    query = select(lesson.c.day, entry.c.entry).join(lesson)
    query = query.where(lesson.c.class_group == group, entry.c.use == use, lessons.counts(today))
    query = query.order_by(lesson.c.day.desc(), lesson.c.id.desc(), entry.c.place)
    return [(row.day, row.entry) for row in connection.execute(query)]
