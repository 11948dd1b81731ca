"""All that a record holds, and a small one that has something in every kind of table."""

import sqlite3
from collections.abc import Iterable, Mapping, Sequence
from contextlib import closing
from datetime import date, timedelta
from pathlib import Path
from typing import Any

from sqlalchemy import Column, insert, select

from strokes.kinds import Kind
from tests.trainer.samples import MONDAY, attempt, ink, verdict
from trainer.attempt import Observation, Pupil, Step
from trainer.ink_codec import pack
from trainer.record.database import Database
from trainer.record.inspection import INK
from trainer.record.mappers import stamp
from trainer.record.migrations import LAST_ERASED
from trainer.record.record import Record
from trainer.record.tables import MOMENT, metadata
from trainer.teaching import Gathering, Need
from trainer.teaching.group_lesson import Lesson, LessonPart, Part, Rhymes

NOT_MOVED = ("identity", "moved to", "last backup", LAST_ERASED)
"""Begin the names of settings that say something of the record itself."""


FIRST_DAY = MONDAY.date()


def fill(place: Path | str) -> None:
    """Two pupils, attempts with ink, findings and past verdicts, a draft, a note, a lesson, a plan."""
    with Record.open(place, now=MONDAY) as record:
        nella, abel = record.pupils.add("Nella", hand="left"), record.pupils.add("Ábel ♥", group="Quay")
        record.plans.set("Quay", ["k", "é"])
        many = [attempt(nella.id, "b", Kind.START, day=day, written=ink(seed=day)) for day in range(12)]
        numbers = record.attempts.keep_many(many)
        record.imports.keep(abel.id, [attempt(abel.id, "é", Kind.LETTER, instead="e")], MONDAY)
        record.verdicts.replace([(numbers[0], "next", verdict(Kind.SHAPE))])
        record.verdicts.overrule(numbers[1], formed=True, looks=True, reason="she was jostled")
        record.attempts.keep_draft(nella.id, "k", Step.COPY, ink(seed=99))
        record.observations.keep([Observation(abel.id, "k", MONDAY.date(), (Kind.SIZE,))])
        record.lessons.keep(lesson(abel), MONDAY)
        record.notes.add(abel.id, "holds the pen\nhigh up", at=MONDAY + timedelta(days=1))
        record.erasure.remove_pupil(record.pupils.add("Cosmo").id)
        with record.database.writing() as connection:
            for table in metadata.sorted_tables:  # also what was thought of after this
                if connection.execute(select(table.c[0]).limit(1)).first() is None:
                    connection.execute(
                        insert(table).values({column.name: _some(column) for column in table.c})
                    )


def lesson(*pupils: Pupil, group: str = "Quay", day: date = FIRST_DAY) -> Lesson:
    """A lesson with words, a rhyme round and these pupils at one table, because of the letter b."""
    needs = tuple(Need(pupil, "b", Kind.START, 3, 4) for pupil in pupils)
    return Lesson(
        group,
        day,
        ("b", "k"),
        ("bed", "kid"),
        Rhymes("bed", ("red", "shed"), ("dig", "dog")),
        tuple(LessonPart(part, 2, f"Say this in {part}.") for part in Part),
        (Gathering(Kind.START, group, needs),) if needs else (),
    )


def _some(column: Column[Any]) -> object:
    """A value that such a column may have; the first row of another table where it points there."""
    if column.foreign_keys or column.name == "id":
        return 1
    if column.name == INK:
        return pack(ink())
    if column.type.python_type is not str:
        return column.type.python_type(1)
    return {MOMENT: stamp(MONDAY), 10: "2026-09-07"}.get(getattr(column.type, "length", None) or 0, "[]")


def everything(place: Path | str) -> dict[str, list[tuple[object, ...]]]:
    """All rows of all tables, in one order; a file is read past the program, as that is quicker."""
    if isinstance(place, Path):
        with closing(sqlite3.connect(place)) as plain:
            rows = {name: plain.execute(str(select(table))) for name, table in metadata.tables.items()}
            return _sorted(rows)
    with closing(Database(place, marked=True)) as database, database.reading() as connection:
        return _sorted({name: connection.execute(select(table)) for name, table in metadata.tables.items()})


def _sorted(tables: Mapping[str, Iterable[Sequence[object]]]) -> dict[str, list[tuple[object, ...]]]:
    rows = {
        name: sorted((tuple(map(_plain, row)) for row in table), key=repr) for name, table in tables.items()
    }
    rows["setting"] = [row for row in rows["setting"] if not str(row[0]).startswith(NOT_MOVED)]
    return rows


def _plain(value: object) -> object:
    """The value as both kinds of databases give it: truth is 0 or 1 in one of them."""
    return int(value) if isinstance(value, bool) else value
