"""The record's words: those a school added to the shipped ones, and which spellings a group was taught."""

from __future__ import annotations

from collections.abc import Collection, Mapping

from sqlalchemy import delete, func, insert, select

from trainer.errors import WordError
from trainer.record import tables
from trainer.record.database import Database

MOST_WORDS = 2000
"""Words of a school: more than it would read through in a list."""


class Words:
    """Words of the school's own, and what each group was taught. What either may be is for the caller."""

    def __init__(self, database: Database) -> None:
        self._database = database

    def own(self) -> dict[str, str]:
        """The school's own words with their spellings, in the order of the alphabet."""
        with self._database.reading() as connection:
            rows = connection.execute(select(tables.own_word)).all()
        return {row.word: row.spelling for row in sorted(rows, key=lambda row: str(row.word))}

    def add(self, spellings: Mapping[str, str]) -> None:
        """Keep new words with their spellings, all of them or none.

        Raises WordError for a word that is there already, and where they become too many.
        """
        table = tables.own_word
        with self._database.writing(durable=True) as connection:
            there = set(connection.scalars(select(table.c.word).where(table.c.word.in_(list(spellings)))))
            if there:
                raise WordError(f"a word is added once, and {min(there)!r} is among the school's own already")
            count = (connection.scalar(select(func.count()).select_from(table)) or 0) + len(spellings)
            if count > MOST_WORDS:
                raise WordError(
                    f"a school has at most {MOST_WORDS} words of its own, these would make {count}"
                )
            rows = [{"word": word, "spelling": spelling} for word, spelling in spellings.items()]
            if rows:
                connection.execute(insert(table), rows)

    def remove(self, word: str) -> str:
        """Take a word away; gives back its spelling. Raises WordError when it is none of the school's own."""
        table = tables.own_word
        with self._database.writing(durable=True) as connection:
            spelling = connection.scalar(select(table.c.spelling).where(table.c.word == word))
            if spelling is None:
                raise WordError(f"only a word of the school's own can be taken away, {word[:40]!r} is none")
            connection.execute(delete(table).where(table.c.word == word))
        return str(spelling)

    def taught(self, group: str) -> frozenset[str]:
        """The names of the letters and spellings that were marked as taught to a group."""
        query = select(tables.taught.c.name).where(tables.taught.c.class_group == group)
        with self._database.reading() as connection:
            return frozenset(connection.scalars(query))

    def set_taught(self, group: str, names: Collection[str]) -> None:
        """Put these in the place of what was marked as taught to a group."""
        rows = [{"class_group": group, "name": name} for name in sorted(set(names))]
        with self._database.writing(durable=True) as connection:
            connection.execute(delete(tables.taught).where(tables.taught.c.class_group == group))
            if rows:
                connection.execute(insert(tables.taught), rows)
