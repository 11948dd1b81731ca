"""The steps that bring a record from any earlier shape to today's: each named, each in one transaction.

A step is frozen once it has been released: a change to the tables is a new step at the end. The SQL
is what SQLite and PostgreSQL both read; `{id}`, `{bytes}`, `{by_key}` and `{local_day}` stand for what
they spell differently. `tests/trainer/test_migrations.py` compares the outcome with the tables of `record`.
"""

from __future__ import annotations

from collections.abc import Callable
from contextlib import AbstractContextManager
from dataclasses import dataclass
from datetime import UTC, datetime

from sqlalchemy import Connection, inspect
from sqlalchemy import text as sql

NOTES = "migration"
"""The table that notes which steps were applied; a database with tables and without this one is not ours."""

LAST_ERASED = "last erased "
"""Begins the name of a setting, before a table's name: the highest number that an erased row of it had."""


@dataclass(frozen=True)
class Migration:
    """One step: its name, and its statements in order; `dialect` where only one kind of database needs it."""

    name: str
    statements: tuple[str, ...]
    dialect: str | None = None


FIRST = Migration(
    "first tables",
    (
        f"CREATE TABLE {NOTES} (name VARCHAR(80) NOT NULL PRIMARY KEY, applied VARCHAR(27) NOT NULL)",
        "CREATE TABLE setting (name VARCHAR(40) NOT NULL PRIMARY KEY, value VARCHAR(200) NOT NULL)",
        """CREATE TABLE pupil (
            id {id},
            name VARCHAR(40) NOT NULL,
            class_group VARCHAR(40) NOT NULL,
            card INTEGER NOT NULL,
            hand VARCHAR(5) CHECK (hand IN ('left', 'right')),
            archived BOOLEAN NOT NULL,
            UNIQUE (class_group, name)
        )""",
        """CREATE TABLE plan (
            class_group VARCHAR(40) NOT NULL,
            place INTEGER NOT NULL,
            letter VARCHAR(20) NOT NULL,
            PRIMARY KEY (class_group, place)
        )""",
        """CREATE TABLE attempt (
            id {id},
            pupil INTEGER NOT NULL REFERENCES pupil (id) ON DELETE CASCADE,
            letter VARCHAR(20) NOT NULL,
            step VARCHAR(10) NOT NULL,
            at VARCHAR(27) NOT NULL,
            finished BOOLEAN NOT NULL,
            formation VARCHAR(80),
            formed BOOLEAN,
            looks BOOLEAN,
            ink {bytes}
        )""",
        "CREATE INDEX attempt_of_pupil ON attempt (pupil, letter, at)",
        "CREATE INDEX attempt_at ON attempt (at)",
        """CREATE TABLE finding (
            attempt INTEGER NOT NULL REFERENCES attempt (id) ON DELETE CASCADE,
            place INTEGER NOT NULL,
            kind VARCHAR(20) NOT NULL,
            amount DOUBLE PRECISION NOT NULL,
            tolerance DOUBLE PRECISION NOT NULL,
            stroke INTEGER,
            trace INTEGER,
            part_from DOUBLE PRECISION,
            part_to DOUBLE PRECISION,
            at_x DOUBLE PRECISION,
            at_y DOUBLE PRECISION,
            written_order VARCHAR(60) NOT NULL,
            other_letter VARCHAR(20),
            note BOOLEAN NOT NULL,
            PRIMARY KEY (attempt, place)
        )""",
    ),
)

DESK = Migration(
    "what the desk keeps",
    (
        # SQLite cannot widen a column: the new names of settings carry a group's name
        "CREATE TABLE wider_setting (name VARCHAR(60) NOT NULL PRIMARY KEY, value VARCHAR(200) NOT NULL)",
        "INSERT INTO wider_setting (name, value) SELECT name, value FROM setting",
        "DROP TABLE setting",
        "ALTER TABLE wider_setting RENAME TO setting",
        """CREATE TABLE own_plan (
            pupil INTEGER NOT NULL REFERENCES pupil (id) ON DELETE CASCADE,
            place INTEGER NOT NULL,
            letter VARCHAR(20) NOT NULL,
            PRIMARY KEY (pupil, place)
        )""",
        """CREATE TABLE note (
            id {id},
            pupil INTEGER NOT NULL REFERENCES pupil (id) ON DELETE CASCADE,
            at VARCHAR(27) NOT NULL,
            said VARCHAR(2000) NOT NULL
        )""",
        "CREATE INDEX note_of_pupil ON note (pupil, at)",
        """CREATE TABLE overruling (
            attempt INTEGER NOT NULL PRIMARY KEY REFERENCES attempt (id) ON DELETE CASCADE,
            formed BOOLEAN NOT NULL,
            looks BOOLEAN NOT NULL,
            reason VARCHAR(400) NOT NULL,
            at VARCHAR(27) NOT NULL
        )""",
        """CREATE TABLE past_verdict (
            id {id},
            attempt INTEGER NOT NULL REFERENCES attempt (id) ON DELETE CASCADE,
            checks VARCHAR(40) NOT NULL,
            at VARCHAR(27) NOT NULL,
            formation VARCHAR(80) NOT NULL,
            formed BOOLEAN NOT NULL,
            looks BOOLEAN NOT NULL,
            findings TEXT NOT NULL
        )""",
        "CREATE INDEX past_verdict_of_attempt ON past_verdict (attempt)",
        "ALTER TABLE attempt ADD COLUMN checks VARCHAR(40) NOT NULL DEFAULT ''",
        "ALTER TABLE attempt ADD COLUMN day VARCHAR(10) NOT NULL DEFAULT ''",
        "UPDATE attempt SET day = {local_day}",
        "DROP INDEX attempt_of_pupil",
        "CREATE INDEX attempt_of_day ON attempt (pupil, letter, day, at)",
        "CREATE INDEX attempt_try ON attempt (pupil, letter, day, at)"
        " WHERE finished AND step IN ('copy', 'recall')",
    ),
)

_TRY = "finished AND step IN ('copy', 'recall')"

COUNTS = Migration(
    "running counts",
    (
        """CREATE TABLE tally (
            pupil INTEGER NOT NULL REFERENCES pupil (id) ON DELETE CASCADE,
            letter VARCHAR(20) NOT NULL,
            day VARCHAR(10) NOT NULL,
            tries INTEGER NOT NULL,
            formed INTEGER NOT NULL,
            looks INTEGER NOT NULL,
            recalled INTEGER NOT NULL,
            recalled_formed INTEGER NOT NULL,
            traced INTEGER NOT NULL,
            broken INTEGER NOT NULL,
            overruled INTEGER NOT NULL,
            first_at VARCHAR(27),
            last_at VARCHAR(27),
            PRIMARY KEY (pupil, letter, day)
        )""",
        "CREATE INDEX tally_of_day ON tally (pupil, day, tries, formed, looks)",
        """CREATE TABLE tally_finding (
            pupil INTEGER NOT NULL REFERENCES pupil (id) ON DELETE CASCADE,
            letter VARCHAR(20) NOT NULL,
            day VARCHAR(10) NOT NULL,
            kind VARCHAR(20) NOT NULL,
            note BOOLEAN NOT NULL,
            other_letter VARCHAR(20) NOT NULL,
            tries INTEGER NOT NULL,
            last_at VARCHAR(27) NOT NULL,
            PRIMARY KEY (pupil, letter, day, kind, note, other_letter)
        )""",
        "CREATE INDEX tally_finding_of_day ON tally_finding (pupil, day)",
        f"""INSERT INTO tally
            SELECT pupil, letter, day,
                SUM(CASE WHEN {_TRY} THEN 1 ELSE 0 END),
                SUM(CASE WHEN {_TRY} AND formed THEN 1 ELSE 0 END),
                SUM(CASE WHEN {_TRY} AND looks THEN 1 ELSE 0 END),
                SUM(CASE WHEN {_TRY} AND step = 'recall' THEN 1 ELSE 0 END),
                SUM(CASE WHEN {_TRY} AND step = 'recall' AND formed THEN 1 ELSE 0 END),
                SUM(CASE WHEN finished AND NOT ({_TRY}) THEN 1 ELSE 0 END),
                SUM(CASE WHEN finished THEN 0 ELSE 1 END),
                0,
                MIN(CASE WHEN finished THEN at END),
                MAX(CASE WHEN finished THEN at END)
            FROM attempt GROUP BY pupil, letter, day""",
        """INSERT INTO tally
            SELECT pupil, letter, '', SUM(tries), SUM(formed), SUM(looks), SUM(recalled),
                SUM(recalled_formed), SUM(traced), SUM(broken), 0, MIN(first_at), MAX(last_at)
            FROM tally GROUP BY pupil, letter""",
        f"""INSERT INTO tally_finding
            SELECT pupil, letter, day, kind, note, '', COUNT(DISTINCT id), MAX(at)
            FROM attempt JOIN finding ON attempt = id
            WHERE {_TRY} GROUP BY pupil, letter, day, kind, note""",
        f"""INSERT INTO tally_finding
            SELECT pupil, letter, day, kind, note, other_letter, COUNT(DISTINCT id), MAX(at)
            FROM attempt JOIN finding ON attempt = id
            WHERE {_TRY} AND kind = 'letter' AND other_letter IS NOT NULL
            GROUP BY pupil, letter, day, kind, note, other_letter""",
        """INSERT INTO tally_finding
            SELECT pupil, letter, '', kind, note, other_letter, SUM(tries), MAX(last_at)
            FROM tally_finding GROUP BY pupil, letter, kind, note, other_letter""",
    ),
)

DAYS = Migration(
    "running counts of days",
    (
        """INSERT INTO tally
            SELECT pupil, '', day, SUM(tries), SUM(formed), SUM(looks), SUM(recalled), SUM(recalled_formed),
                SUM(traced), SUM(broken), SUM(overruled), MIN(first_at), MAX(last_at)
            FROM tally WHERE day <> '' GROUP BY pupil, day""",
    ),
)

SO_FAR = Migration(
    "running counts up to each day",
    (
        """CREATE TABLE tally_so_far (
            pupil INTEGER NOT NULL REFERENCES pupil (id) ON DELETE CASCADE,
            letter VARCHAR(20) NOT NULL,
            day VARCHAR(10) NOT NULL,
            tries INTEGER NOT NULL,
            formed INTEGER NOT NULL,
            looks INTEGER NOT NULL,
            recalled INTEGER NOT NULL,
            recalled_formed INTEGER NOT NULL,
            traced INTEGER NOT NULL,
            broken INTEGER NOT NULL,
            overruled INTEGER NOT NULL,
            PRIMARY KEY (pupil, letter, day)
        ){by_key}""",
        """CREATE TABLE tally_finding_so_far (
            pupil INTEGER NOT NULL REFERENCES pupil (id) ON DELETE CASCADE,
            letter VARCHAR(20) NOT NULL,
            kind VARCHAR(20) NOT NULL,
            note BOOLEAN NOT NULL,
            other_letter VARCHAR(20) NOT NULL,
            day VARCHAR(10) NOT NULL,
            tries INTEGER NOT NULL,
            last_at VARCHAR(27) NOT NULL,
            PRIMARY KEY (pupil, letter, kind, note, other_letter, day)
        ){by_key}""",
        """INSERT INTO tally_so_far
            SELECT pupil, letter, day, SUM(tries) OVER so_far, SUM(formed) OVER so_far,
                SUM(looks) OVER so_far, SUM(recalled) OVER so_far, SUM(recalled_formed) OVER so_far,
                SUM(traced) OVER so_far, SUM(broken) OVER so_far, SUM(overruled) OVER so_far
            FROM tally WHERE day <> '' AND letter <> ''
            WINDOW so_far AS (PARTITION BY pupil, letter ORDER BY day)""",
        """INSERT INTO tally_finding_so_far
            SELECT pupil, letter, kind, note, other_letter, day, SUM(tries) OVER so_far,
                MAX(last_at) OVER so_far
            FROM tally_finding WHERE day <> ''
            WINDOW so_far AS (PARTITION BY pupil, letter, kind, note, other_letter ORDER BY day)""",
        # the few rows of all days lie together, not scattered among those of days
        """CREATE INDEX tally_of_all ON tally (day, pupil, letter, tries, formed, looks, recalled,
            recalled_formed, traced, broken, overruled, first_at, last_at) WHERE day = ''""",
        """CREATE INDEX tally_finding_of_all ON tally_finding
            (day, pupil, letter, kind, note, other_letter, tries, last_at) WHERE day = ''""",
        "DROP INDEX tally_finding_of_day",
    ),
)

MENDED = Migration(
    "tries that were mended",
    (
        # of what was kept before nobody knows it, so that none of it counts as mended
        "ALTER TABLE attempt ADD COLUMN mended BOOLEAN NOT NULL DEFAULT FALSE",
        "ALTER TABLE past_verdict ADD COLUMN mended BOOLEAN NOT NULL DEFAULT FALSE",
        "ALTER TABLE tally ADD COLUMN mended INTEGER NOT NULL DEFAULT 0",
        "ALTER TABLE tally_so_far ADD COLUMN mended INTEGER NOT NULL DEFAULT 0",
        # an index that holds all that is asked for spares looking into the table
        "DROP INDEX tally_of_day",
        "CREATE INDEX tally_of_day ON tally (pupil, day, tries, formed, mended, looks)",
        "DROP INDEX tally_of_all",
        """CREATE INDEX tally_of_all ON tally (day, pupil, letter, tries, formed, mended, looks, recalled,
            recalled_formed, traced, broken, overruled, first_at, last_at) WHERE day = ''""",
    ),
)

ADDITIONS = Migration(
    "letters added to a plan",
    (
        """CREATE TABLE plan_addition (
            pupil INTEGER NOT NULL REFERENCES pupil (id) ON DELETE CASCADE,
            letter VARCHAR(20) NOT NULL,
            day VARCHAR(10) NOT NULL,
            place INTEGER NOT NULL,
            PRIMARY KEY (pupil, letter)
        )""",
    ),
)

IMPORTS = Migration(
    "imports of ink",
    (
        """CREATE TABLE ink_import (
            id {id},
            pupil INTEGER NOT NULL REFERENCES pupil (id) ON DELETE CASCADE,
            at VARCHAR(27) NOT NULL
        )""",
        # of what came in before nobody knows it
        "ALTER TABLE attempt ADD COLUMN taken_in INTEGER",
    ),
)

WORDS = Migration(
    "words of the school",
    (
        "CREATE TABLE own_word (word VARCHAR(20) NOT NULL PRIMARY KEY, spelling VARCHAR(200) NOT NULL)",
        """CREATE TABLE taught (
            class_group VARCHAR(40) NOT NULL,
            name VARCHAR(20) NOT NULL,
            PRIMARY KEY (class_group, name)
        )""",
    ),
)

WORDS_WRITTEN = Migration(
    "words that were written",
    (
        "ALTER TABLE attempt ADD COLUMN word VARCHAR(40)",
        "ALTER TABLE attempt ADD COLUMN word_place INTEGER",
        """CREATE TABLE word_try (
            id {id},
            pupil INTEGER NOT NULL REFERENCES pupil (id) ON DELETE CASCADE,
            word VARCHAR(40) NOT NULL,
            part VARCHAR(10) NOT NULL,
            at VARCHAR(27) NOT NULL,
            day VARCHAR(10) NOT NULL,
            finished BOOLEAN NOT NULL,
            asked INTEGER NOT NULL,
            given INTEGER NOT NULL,
            wrong INTEGER NOT NULL,
            ink {bytes},
            findings TEXT NOT NULL,
            checks VARCHAR(40) NOT NULL
        )""",
        "CREATE INDEX word_try_of_pupil ON word_try (pupil, at)",
        """CREATE TABLE past_word_try (
            id {id},
            word_try INTEGER NOT NULL REFERENCES word_try (id) ON DELETE CASCADE,
            checks VARCHAR(40) NOT NULL,
            at VARCHAR(27) NOT NULL,
            findings TEXT NOT NULL
        )""",
        "CREATE INDEX past_word_try_of_try ON past_word_try (word_try)",
        """CREATE TABLE planned_word (
            class_group VARCHAR(40) NOT NULL,
            place INTEGER NOT NULL,
            word VARCHAR(40) NOT NULL,
            PRIMARY KEY (class_group, place)
        )""",
        # nothing that was kept before was written in a word
        *(
            f"ALTER TABLE {table} ADD COLUMN {name} INTEGER NOT NULL DEFAULT 0"
            for table in ("tally", "tally_so_far")
            for name in ("in_words", "in_words_formed")
        ),
        "DROP INDEX tally_of_all",
        """CREATE INDEX tally_of_all ON tally (day, pupil, letter, tries, formed, mended, looks, recalled,
            recalled_formed, traced, broken, overruled, in_words, in_words_formed, first_at, last_at)
            WHERE day = ''""",
    ),
)


def _numbers_given_once(name: str, *tables: str) -> Migration:
    """SQLite gives the number of the last row again once that row is gone; a server's sequences do not."""
    return Migration(
        name,
        tuple(
            f"""CREATE TRIGGER {table}_number AFTER DELETE ON {table} BEGIN
            INSERT INTO setting (name, value) VALUES ('{LAST_ERASED}{table}', OLD.id)
            ON CONFLICT (name) DO UPDATE SET value = excluded.value
            WHERE CAST(value AS INTEGER) < CAST(excluded.value AS INTEGER);
        END"""
            for table in tables
        ),
        dialect="sqlite",
    )


NUMBERS = _numbers_given_once(
    "numbers are given once", "pupil", "attempt", "note", "past_verdict", "ink_import"
)
OBSERVATIONS = Migration(
    "what a teacher saw on paper",
    (
        """CREATE TABLE observation (
            id {id},
            pupil INTEGER NOT NULL REFERENCES pupil (id) ON DELETE CASCADE,
            letter VARCHAR(20) NOT NULL,
            day VARCHAR(10) NOT NULL,
            seen VARCHAR(200) NOT NULL
        )""",
        "CREATE INDEX observation_of_pupil ON observation (pupil, letter, day)",
    ),
)
OBSERVATION_NUMBERS = _numbers_given_once("numbers of observations are given once", "observation")

WORD_NUMBERS = _numbers_given_once("numbers of words are given once", "word_try", "past_word_try")

NEWEST = Migration(
    "what a pupil wrote last",
    # of all letters: who looks for the last few looks at few days, not at all that the pupil ever wrote. No
    # times are in it, as a page of an index that is split keeps copies of rows until it is written over
    ("CREATE INDEX attempt_newest ON attempt (pupil, day)",),
)

ADDED_AT = Migration(
    "the moment when a letter was added to a plan",
    # of what was added before only the day is known
    ("ALTER TABLE plan_addition ADD COLUMN at VARCHAR(27)",),
)

LESSONS = Migration(
    "lessons of groups",
    (
        """CREATE TABLE lesson (
            id {id},
            class_group VARCHAR(40) NOT NULL,
            day VARCHAR(10) NOT NULL,
            kept VARCHAR(27) NOT NULL,
            changed VARCHAR(27) NOT NULL
        )""",
        "CREATE INDEX lesson_of_group ON lesson (class_group, day)",
        """CREATE TABLE lesson_entry (
            lesson INTEGER NOT NULL REFERENCES lesson (id) ON DELETE CASCADE,
            use VARCHAR(12) NOT NULL,
            place INTEGER NOT NULL,
            entry VARCHAR(40) NOT NULL,
            PRIMARY KEY (lesson, use, place)
        )""",
        """CREATE TABLE lesson_part (
            lesson INTEGER NOT NULL REFERENCES lesson (id) ON DELETE CASCADE,
            place INTEGER NOT NULL,
            part VARCHAR(12) NOT NULL,
            minutes INTEGER NOT NULL,
            say VARCHAR(800) NOT NULL,
            PRIMARY KEY (lesson, place)
        )""",
        """CREATE TABLE lesson_seat (
            lesson INTEGER NOT NULL REFERENCES lesson (id) ON DELETE CASCADE,
            place INTEGER NOT NULL,
            pupil INTEGER NOT NULL REFERENCES pupil (id) ON DELETE CASCADE,
            seating INTEGER NOT NULL,
            letter VARCHAR(20) NOT NULL,
            kind VARCHAR(20) NOT NULL,
            times INTEGER NOT NULL,
            tries INTEGER NOT NULL,
            instead VARCHAR(200) NOT NULL,
            PRIMARY KEY (lesson, place)
        )""",
        "CREATE INDEX lesson_seat_of_pupil ON lesson_seat (pupil)",
    ),
)
LESSON_NUMBERS = _numbers_given_once("numbers of lessons are given once", "lesson")

DELIVERIES = Migration(
    "what screens deliver",
    (
        *(
            statement
            for table in ("attempt", "word_try")
            for statement in (
                f"ALTER TABLE {table} ADD COLUMN sent_as VARCHAR(32)",
                f"CREATE UNIQUE INDEX {table}_sent_as ON {table} (sent_as) WHERE sent_as IS NOT NULL",
            )
        ),
        """CREATE TABLE screen (
            code VARCHAR(32) NOT NULL PRIMARY KEY,
            name VARCHAR(60) NOT NULL,
            heard VARCHAR(27) NOT NULL,
            waiting INTEGER NOT NULL,
            open BOOLEAN NOT NULL,
            little_room BOOLEAN NOT NULL
        )""",
    ),
)

MIGRATIONS = (
    FIRST,
    DESK,
    COUNTS,
    DAYS,
    SO_FAR,
    MENDED,
    ADDITIONS,
    IMPORTS,
    WORDS,
    NUMBERS,
    WORDS_WRITTEN,
    WORD_NUMBERS,
    NEWEST,
    ADDED_AT,
    OBSERVATIONS,
    OBSERVATION_NUMBERS,
    LESSONS,
    LESSON_NUMBERS,
    DELIVERIES,
)

_TYPES = {
    "sqlite": {
        "id": "INTEGER PRIMARY KEY",
        "bytes": "BLOB",
        "by_key": " WITHOUT ROWID",  # rows lie in the order of their key, so that one step finds each
        "local_day": "strftime('%Y-%m-%d', at, 'localtime')",
    },
    "postgresql": {
        "id": "INTEGER GENERATED BY DEFAULT AS IDENTITY PRIMARY KEY",
        "bytes": "BYTEA",
        "by_key": "",
        "local_day": "to_char(CAST(at AS TIMESTAMPTZ), 'YYYY-MM-DD')",
    },
}


def applied(connection: Connection) -> list[str] | None:
    """The names of the steps this database has had; empty for a new one, None for somebody else's."""
    tables = inspect(connection).get_table_names()
    if not tables:
        return []
    if NOTES not in tables:
        return None
    return list(connection.scalars(sql(f"SELECT name FROM {NOTES}")))


def migrate(
    writing: Callable[[], AbstractContextManager[Connection]], steps: tuple[Migration, ...] = MIGRATIONS
) -> list[str]:
    """Apply the steps that are missing, each in a transaction opened by `writing`; gives back their names.

    What was applied is looked up inside each transaction, because another window may be at it too. A new
    database gets all steps in one, which takes two thirds of the time.
    """
    with writing() as connection:
        if applied(connection) == []:
            for step in steps:
                _apply(step, connection)
            return [step.name for step in steps]
    done = []
    for step in steps:
        with writing() as connection:
            if step.name not in (applied(connection) or []):
                _apply(step, connection)
                done.append(step.name)
    return done


def _apply(step: Migration, connection: Connection) -> None:
    dialect = connection.dialect.name
    for statement in step.statements if step.dialect in (None, dialect) else ():
        connection.exec_driver_sql(statement.format(**_TYPES[dialect]))
    connection.execute(
        sql(f"INSERT INTO {NOTES} (name, applied) VALUES (:name, :applied)"),
        {"name": step.name, "applied": datetime.now(UTC).strftime("%Y-%m-%dT%H:%M:%S.%fZ")},
    )
