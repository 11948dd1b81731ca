"""All that a record holds, and a small one that has something in every kind of table."""

from contextlib import closing
from datetime import timedelta
from pathlib import Path

from sqlalchemy import select

from strokes.kinds import Kind
from tests.trainer.samples import MONDAY, attempt, ink, verdict
from trainer.attempt import Step
from trainer.record.database import Database
from trainer.record.migrations import LAST_ERASED
from trainer.record.record import Record
from trainer.record.tables import metadata

NOT_MOVED = ("identity", "moved to", "last backup", LAST_ERASED)
"""Begin the names of settings that say something of the record itself."""


def fill(place: Path | str) -> None:
    """Two pupils, attempts with ink, findings and past verdicts, a draft, a note, a plan, erased numbers."""
    with Record.open(place, now=MONDAY) as record:
        nella, abel = record.pupils.add("Nella", hand="left"), record.pupils.add("Ábel ♥", group="Quay")
        record.plans.set("Quay", ["k", "é"])
        many = [attempt(nella.id, "b", Kind.START, day=day, written=ink(seed=day)) for day in range(12)]
        numbers = record.attempts.keep_many(many)
        record.imports.keep(abel.id, [attempt(abel.id, "é", Kind.LETTER, instead="e")], MONDAY)
        record.verdicts.replace([(numbers[0], "next", verdict(Kind.SHAPE))])
        record.verdicts.overrule(numbers[1], formed=True, looks=True, reason="she was jostled")
        record.attempts.keep_draft(nella.id, "k", Step.COPY, ink(seed=99))
        record.notes.add(abel.id, "holds the pen\nhigh up", at=MONDAY + timedelta(days=1))
        record.erasure.remove_pupil(record.pupils.add("Cosmo").id)


def everything(place: Path | str) -> dict[str, list[tuple[object, ...]]]:
    """All rows of all tables, in the order of their keys as Python sorts them."""
    with closing(Database(place, marked=True)) as database, database.reading() as connection:
        rows = {
            name: sorted(map(tuple, connection.execute(select(table))), key=repr)
            for name, table in metadata.tables.items()
        }
    rows["setting"] = [row for row in rows["setting"] if not str(row[0]).startswith(NOT_MOVED)]
    return rows
