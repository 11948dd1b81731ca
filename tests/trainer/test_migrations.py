import sqlite3
from contextlib import closing
from dataclasses import replace
from datetime import datetime

import pytest
from sqlalchemy import inspect

from strokes.kinds import Kind
from tests.trainer.older import made_before
from tests.trainer.reckoning import summarize
from tests.trainer.samples import MONDAY, attempt
from tests.trainer.test_counters import rows
from trainer.attempt import InWord, Outcome, WordPart, WordTry
from trainer.errors import RecordError
from trainer.places import is_address
from trainer.record import tables
from trainer.record.database import Database
from trainer.record.migrations import (
    ADDED_AT,
    FIRST,
    MENDED,
    MIGRATIONS,
    NOTES,
    NUMBERS,
    WORDS_WRITTEN,
    Migration,
    applied,
    migrate,
)
from trainer.record.record import Record


def test_the_migrated_tables_are_those_the_record_uses(place):
    database = Database(place)
    with database.reading() as connection:
        look = inspect(connection)
        rows = {
            name: {
                column["name"]: (str(column["type"]), column["nullable"]) for column in look.get_columns(name)
            }
            for name in look.get_table_names()
        }
        keys = {name: look.get_pk_constraint(name)["constrained_columns"] for name in rows}
        dialect = connection.dialect
    database.close()

    del rows[NOTES]
    assert set(rows) == set(tables.metadata.tables)
    for name, table in tables.metadata.tables.items():
        assert set(rows[name]) == {column.name for column in table.columns}
        assert keys[name] == [column.name for column in table.primary_key]
        for column in table.columns:
            kind, empty = rows[name][column.name]
            assert _kin(kind) == _kin(column.type.compile(dialect)), f"{name}.{column.name}"
            assert empty == column.nullable or column.primary_key, f"{name}.{column.name}"


def _kin(kind: str) -> str:
    return "FLOAT" if kind.startswith(("DOUBLE", "REAL")) else kind


def test_each_step_is_noted_with_its_time(place):
    database = Database(place)
    with database.reading() as connection:
        assert set(applied(connection)) == {step.name for step in MIGRATIONS}
        times = connection.exec_driver_sql(f"SELECT applied FROM {NOTES}").scalars().all()
    database.close()

    assert all(datetime.fromisoformat(when).tzinfo is not None for when in times)


def test_a_step_is_not_applied_twice(place):
    database = Database(place)

    assert migrate(database.writing) == []
    database.close()


def test_a_later_step_keeps_what_was_written_before(tmp_path):
    database = Database(tmp_path / "record.sqlite")
    with database.writing() as connection:
        connection.exec_driver_sql("INSERT INTO setting VALUES ('kept', 'yes')")
    later = Migration("a second step", ("ALTER TABLE setting ADD COLUMN remark VARCHAR(20)",))

    assert migrate(database.writing, (*MIGRATIONS, later)) == ["a second step"]
    with database.reading() as connection:
        assert connection.exec_driver_sql("SELECT * FROM setting").all() == [("kept", "yes", None)]
    database.close()


def test_a_step_that_fails_half_way_leaves_nothing_behind(place):
    database = Database(place)
    broken = Migration("half", ("CREATE TABLE half (id INTEGER)", "INSERT INTO nowhere VALUES (1)"))

    with pytest.raises(RecordError):
        migrate(database.writing, (*MIGRATIONS, broken))
    with database.reading() as connection:
        assert set(applied(connection)) == {step.name for step in MIGRATIONS}
        assert "half" not in inspect(connection).get_table_names()
    database.close()


def test_a_record_of_the_first_tables_is_counted_when_it_is_opened(tmp_path):
    """What a record of the first version holds comes out as if it had been kept by today's."""
    file = tmp_path / "record.sqlite"
    with closing(sqlite3.connect(file)) as old:
        for statement in FIRST.statements:
            old.execute(statement.format(id="INTEGER PRIMARY KEY", bytes="BLOB"))
        old.execute(f"INSERT INTO {NOTES} VALUES (?, '2026-09-01T00:00:00.000000Z')", [FIRST.name])
        old.execute("INSERT INTO setting VALUES ('keep_ink_days', '30000')")
        old.execute("INSERT INTO pupil VALUES (1, 'Nella', 'Quay', 1, 'left', 0)")
        for number in range(1, 41):
            at = f"2026-09-{number % 9 + 10}T{number % 24:02}:30:00.000000Z"
            judged = ("taught", number % 3 > 0, number % 2 > 0) if number % 7 else (None, None, None)
            row = (number, 1, "bd"[number % 2], ("trace", "copy", "recall")[number % 3], at, number % 7 > 0)
            old.execute("INSERT INTO attempt VALUES (?, ?, ?, ?, ?, ?, ?, ?, ?, NULL)", row + judged)
            if number % 7 and not number % 3:
                kind, other = ("letter", "q") if number % 2 else ("start", None)
                finding_row = (number, 0, kind, other, number % 5 == 0)
                old.execute(
                    "INSERT INTO finding VALUES (?, ?, ?, 1, 0, 0, 0, NULL, NULL, NULL, NULL, '', ?, ?)",
                    finding_row,
                )
        old.commit()
    with Record.open(file) as record:
        before = rows(record)
        record.figures.recount()
        assert rows(record) == before
        attempts = list(record.attempts.find())
        assert record.ink.keep_days == 30000
        assert record.figures.summary() == summarize(attempts, record.pupils.find())
    assert len(attempts) == 40
    assert {attempt.checks for attempt in attempts} == {""}
    assert not any(attempt.mended for attempt in attempts)


def test_a_record_kept_before_anything_was_mended_keeps_its_verdicts_and_its_counts(place, monkeypatch):
    """What it holds has none that was mended; what comes then is counted with it."""
    old = made_before(MENDED, place, monkeypatch)
    with old.writing() as connection:
        for statement in (
            "INSERT INTO pupil VALUES (1, 'Nella', 'Quay', 1, 'left', FALSE)",
            "INSERT INTO attempt VALUES (99, 1, 'b', 'copy', '2026-09-07T11:30:00.000000Z', TRUE, 'taught',"
            " FALSE, TRUE, NULL, '2', '2026-09-07')",
            "INSERT INTO finding VALUES"
            " (99, 0, 'start', 1, 0, 0, 0, NULL, NULL, NULL, NULL, '', NULL, FALSE)",
            "INSERT INTO past_verdict VALUES"
            " (1, 99, '1', '2026-09-08T11:30:00.000000Z', 'taught', TRUE, TRUE, '[]')",
            "INSERT INTO tally VALUES (1, 'b', '2026-09-07', 1, 0, 1, 0, 0, 0, 0, 0, NULL, NULL)",
        ):
            connection.exec_driver_sql(statement)
    old.close()

    with Record.open(place, now=MONDAY) as record:
        (kept_attempt,) = record.attempts.find()
        assert (kept_attempt.outcome, kept_attempt.checks) == (Outcome.NOT_YET, "2")
        assert [past.verdict.outcome for past in record.verdicts.past(1)[99]] == [Outcome.FORMED]
        record.attempts.keep(attempt(1, "b", Kind.START, mended=True))
        (line,) = record.figures.summary().lines
        assert (line.tries, line.formed, line.mended) == (2, 0, 1)


def test_an_older_record_gives_no_number_twice_from_now_on(place, monkeypatch):
    old = made_before(NUMBERS, place, monkeypatch)
    with old.writing() as connection:
        # so older versions noted it themselves; a server did not need it
        connection.exec_driver_sql("INSERT INTO setting VALUES ('last erased pupil', '7')")
    old.close()

    with Record.open(place, now=MONDAY) as record:
        nella = record.pupils.add("Nella")
        first = record.notes.add(nella.id, "holds the pen high up")
        record.notes.remove(first.id)
        assert record.notes.add(nella.id, "presses less").id > first.id
        if not is_address(place):
            assert nella.id == 8


def test_letters_that_were_added_to_plans_before_their_moment_was_kept_still_count(place, monkeypatch):
    old = made_before(ADDED_AT, place, monkeypatch)
    with old.writing() as connection:
        connection.exec_driver_sql("INSERT INTO pupil VALUES (1, 'Nella', 'Quay', 1, 'left', FALSE)")
        connection.exec_driver_sql("INSERT INTO plan_addition VALUES (1, 'b', '2026-09-07', 0)")
    old.close()

    with Record.open(place, now=MONDAY) as record:
        record.plans.add({1: ["d"]}, today=MONDAY.date(), at=MONDAY)
        added = record.plans.added(today=MONDAY.date())[1]
        assert {addition.letter: addition.at for addition in added} == {"b": None, "d": MONDAY}


def test_a_record_kept_before_words_were_written_has_letters_alone_and_takes_words(place, monkeypatch):
    old = made_before(WORDS_WRITTEN, place, monkeypatch)
    with old.writing() as connection:
        for statement in (
            "INSERT INTO pupil VALUES (1, 'Nella', 'Quay', 1, 'left', FALSE)",
            "INSERT INTO attempt VALUES (99, 1, 'i', 'copy', '2026-09-06T11:30:00.000000Z', TRUE, 'taught',"
            " TRUE, TRUE, NULL, '2026-09-06', '2', FALSE, NULL)",
        ):
            connection.exec_driver_sql(statement)
        recount_as_then(connection)
    old.close()

    with Record.open(place, now=MONDAY) as record:
        (kept_attempt,) = record.attempts.find()
        assert kept_attempt.in_word is None
        record.attempts.keep(replace(attempt(1, "i"), in_word=InWord("ship", 2)))
        record.word_tries.keep(WordTry(None, 1, "ship", WordPart.COUNT, MONDAY, asked=3, given=3))
        (line,) = record.figures.summary().lines
        assert (line.alone, line.in_words) == ((1, 1), 1)


def recount_as_then(connection) -> None:
    """One attempt counted by the columns that there were before."""
    names = "tries, formed, looks, recalled, recalled_formed, traced, broken, overruled, mended"
    numbers = "1, 1, 1, 0, 0, 0, 0, 0, 0"
    moment = "'2026-09-06T11:30:00.000000Z'"
    for table, day, ends in (
        ("tally", "2026-09-06", True),
        ("tally", "", True),
        ("tally_so_far", "2026-09-06", False),
    ):
        columns, values = names, numbers
        if ends:
            columns, values = f"{names}, first_at, last_at", f"{numbers}, {moment}, {moment}"
        connection.exec_driver_sql(
            f"INSERT INTO {table} (pupil, letter, day, {columns}) VALUES (1, 'i', '{day}', {values})"
        )


def test_names_of_steps_are_all_different():
    names = [step.name for step in MIGRATIONS]

    assert len(set(names)) == len(names)


def test_the_first_step_runs_in_plain_sqlite_too():
    """The statements need nothing of SQLAlchemy but the two types."""
    plain = sqlite3.connect(":memory:")
    for statement in FIRST.statements:
        plain.execute(statement.format(id="INTEGER PRIMARY KEY", bytes="BLOB"))
    plain.close()
