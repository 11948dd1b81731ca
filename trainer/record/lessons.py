"""The record's lessons: what a group was to do on a day, who sat together, and what was to be said.

Who sits together hangs on the pupils: one who is erased is in no lesson any more, nor named in what is to be
said. Letters and words of a lesson come before a plan by the rule for what is added for some days (`plans`).
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import replace
from datetime import date, datetime, timedelta
from itertools import groupby
from typing import Any, TypeAlias

from sqlalchemy import ColumnElement, Connection, Row, Select, Table, and_, delete, insert, select, update

from strokes.kinds import Kind
from trainer.attempt import Pupil
from trainer.errors import LessonError, OnDamage, pass_over
from trainer.record import mappers, tables
from trainer.record.database import Database, inserted
from trainer.teaching import Gathering, Need
from trainer.teaching.group_lesson import Lesson, LessonPart, Part, Rhymes

ADDED_FOR = timedelta(days=7)
"""How long a lesson, or an added letter, counts: who was away on the day finds it a few days later. Ours."""

LETTER, WORD, RHYME, RHYMING, UNLIKE = "letter", "word", "rhyme", "rhyming", "unlike"
"""What an entry of a lesson is for."""

NOBODY = "…"
"""Stands in what is to be said where the name of an erased child was."""

_DETAILS = (tables.lesson_entry, tables.lesson_part, tables.lesson_seat)

Removed: TypeAlias = Mapping[str, Sequence[Mapping[str, Any]]]
"""The rows of a lesson that was removed, by their tables, and of the pupils there were then."""


class Lessons:
    """The lessons of all groups; a group may have several on one day."""

    def __init__(self, database: Database) -> None:
        self._database = database

    def keep(self, lesson: Lesson, at: datetime) -> Lesson:
        """Keep a new lesson; gives it back with its number.

        Where the group has the very same on that day already, it is that one: a form may be sent twice.
        Whether letters and words exist is for the caller to know.
        """
        there = self.find(lesson.group, day=lesson.day, on_damage=pass_over)
        if same := next((other for other in there if _contents(other) == _contents(lesson)), None):
            return same
        moment = mappers.stamp(at)
        with self._database.writing(durable=True) as connection:
            row = {"class_group": lesson.group, "day": lesson.day.isoformat()}
            number = inserted(connection, tables.lesson, row | {"kept": moment, "changed": moment})
            _put_details(connection, number, lesson)
        return replace(lesson, id=number, kept=at, changed=at)

    def change(self, lesson: Lesson, at: datetime) -> Lesson:
        """Put a lesson in the place of the one with its number, which must be as it was when this was read.

        Who sits together stays. Raises LessonError for one that is gone or was `changed` since.
        """
        table = tables.lesson
        with self._database.writing(durable=True) as connection:
            row = connection.execute(select(table).where(table.c.id == lesson.id)).first()
            if row is None:
                raise LessonError("the lesson must still be there, and was removed meanwhile")
            if lesson.changed is None or row.changed != mappers.stamp(lesson.changed):
                raise LessonError("the lesson was changed in another window meanwhile")
            values = {"day": lesson.day.isoformat(), "changed": mappers.stamp(at)}
            connection.execute(update(table).where(table.c.id == lesson.id).values(values))
            for details in (tables.lesson_entry, tables.lesson_part):
                connection.execute(delete(details).where(details.c.lesson == lesson.id))
            _put_details(connection, row.id, replace(lesson, tables=()))
        return replace(lesson, changed=at)

    def get(self, number: int) -> Lesson | None:
        """The lesson with that number; None when there is none. Raises BrokenRecordError where damaged."""
        if not 0 < number <= mappers.LARGEST_NUMBER:
            return None
        return next(iter(self._read(select(tables.lesson).where(tables.lesson.c.id == number))), None)

    def find(
        self,
        group: str | None = None,
        *,
        day: date | None = None,
        counting: date | None = None,
        on_damage: OnDamage | None = None,
    ) -> tuple[Lesson, ...]:
        """The lessons of a group or of all, the latest day first, then the last one kept.

        Those of a `day`, or those that come before the plans on the day `counting`. Damaged ones as in
        `Attempts.find`.
        """
        table = tables.lesson
        query = select(table).order_by(table.c.day.desc(), table.c.id.desc())
        if group is not None:
            query = query.where(table.c.class_group == group)
        if day is not None:
            query = query.where(table.c.day == day.isoformat())
        if counting is not None:
            query = query.where(counts(counting))
        return tuple(self._read(query, on_damage))

    def of_pupil(self, pupil: Pupil, *, on_damage: OnDamage | None = None) -> tuple[tuple[date, Need], ...]:
        """The days of the lessons in which a pupil sat at a table, and what for, the latest first."""
        lesson, seat = tables.lesson, tables.lesson_seat
        query = select(lesson.c.day, seat).join(lesson).where(seat.c.pupil == pupil.id)
        with self._database.reading() as connection:
            rows = connection.execute(
                query.order_by(lesson.c.day.desc(), lesson.c.id.desc(), seat.c.place)
            ).all()
        needs = []
        for row in rows:
            with self._database.naming(f"lesson {row.lesson}", on_damage):
                needs.append((date.fromisoformat(row.day), _need(row, pupil)))
        return tuple(needs)

    def remove(self, number: int) -> Removed | None:
        """Take a lesson away; gives back its rows, to `put_back`. None for one that is gone already."""
        with self._database.writing(durable=True) as connection:
            rows = {
                table.name: [
                    dict(row) for row in connection.execute(select(table).where(key == number)).mappings()
                ]
                for table, key in _keys()
            }
            pupil = tables.pupil
            rows[pupil.name] = [
                dict(row) for row in connection.execute(select(pupil.c.id, pupil.c.name)).mappings()
            ]
            connection.execute(delete(tables.lesson).where(tables.lesson.c.id == number))
        return rows if rows[tables.lesson.name] else None

    def put_back(self, removed: Removed) -> int:
        """Undo `remove`, once; gives back the number. Who was erased meanwhile sits nowhere, unnamed too."""
        number = int(removed[tables.lesson.name][0]["id"])
        with self._database.writing(durable=True) as connection:
            if connection.scalar(select(tables.lesson.c.id).where(tables.lesson.c.id == number)) is None:
                there = set(connection.scalars(select(tables.pupil.c.id)))
                for table, _ in _keys():
                    rows = [row for row in removed[table.name] if row.get("pupil", None) in {None, *there}]
                    if rows:
                        connection.execute(insert(table), rows)
                before = removed[tables.pupil.name]
                forget_names(connection, [pupil["name"] for pupil in before if pupil["id"] not in there])
        return number

    def _read(self, query: Select[Any], on_damage: OnDamage | None = None) -> list[Lesson]:
        with self._database.reading() as connection:
            rows = connection.execute(query).all()
            numbers = [row.id for row in rows]
            details = {table.name: _by_lesson(connection, table, numbers) for table in _DETAILS}
            of_pupils = select(tables.pupil).where(tables.pupil.c.archived.is_(False))
            pupils = {row.id: mappers.pupil_from(row) for row in connection.execute(of_pupils)}
        lessons = []
        for row in rows:
            with self._database.naming(f"lesson {row.id}", on_damage):
                lessons.append(_lesson(row, pupils, *(own.get(row.id, []) for own in details.values())))
        return lessons


def counts(today: date) -> ColumnElement[bool]:
    """Which lessons come before the plans: from their day on, as long as what is added does."""
    day = tables.lesson.c.day
    return and_(day > (today - ADDED_FOR).isoformat(), day <= today.isoformat())


def forget_names(connection: Connection, names: Sequence[str]) -> None:
    """Take the names of pupils who are erased out of what is to be said in lessons."""
    part = tables.lesson_part
    if not names:
        return
    named = re.compile("|".join(rf"(?<!\w){re.escape(name)}(?!\w)" for name in names), re.IGNORECASE)
    for row in connection.execute(select(part)).all():
        if (left := named.sub(NOBODY, row.say)) != row.say:
            at = part.c.lesson == row.lesson, part.c.place == row.place
            connection.execute(update(part).where(*at).values(say=left))


def _keys() -> Iterator[tuple[Table, Any]]:
    """The tables of a lesson, parents first, and the column with its number."""
    yield tables.lesson, tables.lesson.c.id
    yield from ((table, table.c.lesson) for table in _DETAILS)


def _by_lesson(connection: Connection, table: Table, numbers: Sequence[int]) -> dict[int, list[Row[Any]]]:
    rows = connection.execute(select(table).where(table.c.lesson.in_(numbers)).order_by(table.c.place))
    details: dict[int, list[Row[Any]]] = {}
    for row in rows:
        details.setdefault(row.lesson, []).append(row)
    return details


def _contents(lesson: Lesson) -> tuple[object, ...]:
    """What makes two lessons of a group on one day the same."""
    return lesson.letters, lesson.words, lesson.rhymes, lesson.parts


def _put_details(connection: Connection, number: int, lesson: Lesson) -> None:
    rhymes = lesson.rhymes
    uses = {LETTER: lesson.letters, WORD: lesson.words}
    if rhymes:
        uses |= {RHYME: (rhymes.word,), RHYMING: rhymes.rhyming, UNLIKE: rhymes.unlike}
    rows: dict[Table, list[dict[str, Any]]] = {
        tables.lesson_entry: [
            {"use": use, "place": place, "entry": entry}
            for use, entries in uses.items()
            for place, entry in enumerate(entries)
        ],
        tables.lesson_part: [
            {"place": place, "part": part.part.value, "minutes": part.minutes, "say": part.say}
            for place, part in enumerate(lesson.parts)
        ],
        tables.lesson_seat: [
            {"place": place, "seating": seating, **_need_row(need)}
            for place, (seating, need) in enumerate(
                (seating, need) for seating, table in enumerate(lesson.tables) for need in table.needs
            )
        ],
    }
    for table, own in rows.items():
        if own:
            connection.execute(insert(table), [{"lesson": number, **row} for row in own])


def _need_row(need: Need) -> dict[str, Any]:
    return {
        "pupil": need.pupil.id,
        "letter": need.letter,
        "kind": need.kind.value,
        "times": need.times,
        "tries": need.tries,
        "instead": " ".join(need.instead),
    }


def _lesson(
    row: Row[Any],
    pupils: Mapping[int, Pupil],
    entries: Sequence[Row[Any]],
    parts: Sequence[Row[Any]],
    seats: Sequence[Row[Any]],
) -> Lesson:
    """A lesson from its rows; those who are archived sit nowhere. Raises ValueError for a damaged one."""
    uses = {
        use: tuple(entry.entry for entry in entries if entry.use == use)
        for use in (LETTER, WORD, RHYME, RHYMING, UNLIKE)
    }
    rhymes = Rhymes(uses[RHYME][0], uses[RHYMING], uses[UNLIKE]) if uses[RHYME] else None
    seated = [seat for seat in seats if seat.pupil in pupils]
    return Lesson(
        row.class_group,
        date.fromisoformat(row.day),
        uses[LETTER],
        uses[WORD],
        rhymes,
        tuple(LessonPart(Part(part.part), part.minutes, part.say) for part in parts),
        tuple(
            _table(row.class_group, list(own), pupils)
            for _, own in groupby(seated, lambda seat: seat.seating)
        ),
        row.id,
        mappers.moment(row.kept),
        mappers.moment(row.changed),
    )


def _table(group: str, seats: Sequence[Row[Any]], pupils: Mapping[int, Pupil]) -> Gathering:
    needs = tuple(_need(seat, pupils[seat.pupil]) for seat in seats)
    return Gathering(needs[0].kind, group, needs)


def _need(seat: Row[Any], pupil: Pupil) -> Need:
    return Need(pupil, seat.letter, Kind(seat.kind), seat.times, seat.tries, tuple(seat.instead.split()))
