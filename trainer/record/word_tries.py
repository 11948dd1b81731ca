"""The record's tries at whole words: sounds counted, chunks and rhymes, and words written on one line.

The letters of a word in its boxes are attempts. A word that is being written on one line is a draft, one row
that is written anew at every pen-up, as the draft of a letter is.
"""

from __future__ import annotations

from collections.abc import Collection, Iterator, Sequence
from dataclasses import dataclass, replace
from datetime import UTC, datetime
from typing import NamedTuple

from sqlalchemy import Connection, delete, select, update

from strokes.report import WordFinding
from trainer.attempt import WordPart, WordTry
from trainer.errors import BrokenRecordError, OnDamage
from trainer.record import mappers, tables
from trainer.record.database import Database, inserted
from trainer.record.pupils import pupil_row


@dataclass(frozen=True)
class _Draft:
    """The row of a word that is being written on one line."""

    number: int
    word: str


class Line(NamedTuple):
    """A word on one line, and by which version of the checks it was judged."""

    number: int
    pupil: int
    word: str
    checks: str


class WordTries:
    """What was done with whole words; this window's unfinished lines are its drafts."""

    def __init__(self, database: Database) -> None:
        self._database = database
        self._drafts: dict[int, _Draft] = {}

    def keep(self, tried: WordTry) -> WordTry:
        """Keep a try; it is on the disk when this returns, and a line's draft has become it.

        Raises PupilError when the pupil is not in the record.
        """
        with self._database.writing(durable=True) as connection:
            number = self._put(connection, tried)
        if tried.part is WordPart.LINE:
            self.leave_draft(tried.pupil)
        return replace(tried, id=number)

    def keep_draft(self, draft: WordTry) -> None:
        """Keep the ink of a word on one line so far; it is committed when this returns. Raises as `keep`."""
        with self._database.writing() as connection:
            number = self._put(connection, draft)
        self._drafts[draft.pupil] = _Draft(number, draft.word)

    def leave_draft(self, pupil: int) -> None:
        """The line stays as one that was broken off; what is written next is another one."""
        self._drafts.pop(pupil, None)

    def drop_draft(self, pupil: int) -> None:
        """Forget the pupil's draft: everything was taken back."""
        draft = self._drafts.get(pupil)
        if draft is None:
            return
        table = tables.word_try
        with self._database.writing() as connection:
            unfinished = (table.c.id == draft.number) & table.c.finished.is_(False)
            connection.execute(delete(table).where(unfinished))
        del self._drafts[pupil]

    def find(
        self,
        pupils: Collection[int] | None = None,
        *,
        numbers: Collection[int] | None = None,
        ink: bool = True,
        on_damage: OnDamage | None = None,
    ) -> Iterator[WordTry]:
        """The tries, oldest first, of `pupils` or with these `numbers`; damaged ones as in `Attempts`."""
        table = tables.word_try
        query = select(*(column for column in table.c if ink or column is not table.c.ink))
        if pupils is not None:
            query = query.where(table.c.pupil.in_(pupils))
        if numbers is not None:
            query = query.where(table.c.id.in_(numbers))
        with self._database.reading() as connection:
            rows = connection.execute(query.order_by(table.c.at, table.c.id)).all()
        for row in rows:
            try:
                with self._database.naming(f"try {row.id} at a word"):
                    tried = mappers.word_try_from(row)
            except BrokenRecordError as error:
                if on_damage is None:
                    raise
                on_damage(error)
            else:
                yield tried

    def lines(self, since: datetime | None = None) -> Iterator[Line]:
        """The finished words on one line that still have their ink, by number."""
        table = tables.word_try
        query = select(table.c.id, table.c.pupil, table.c.word, table.c.checks)
        query = query.where(table.c.part == WordPart.LINE.value, table.c.finished, table.c.ink.is_not(None))
        if since is not None:
            query = query.where(table.c.at >= mappers.stamp(since))
        with self._database.reading() as connection:
            rows = connection.execute(query.order_by(table.c.id)).all()
        yield from (Line(*row) for row in rows)

    def judged_again(
        self, verdicts: Sequence[tuple[int, str, tuple[WordFinding, ...]]], *, at: datetime | None = None
    ) -> int:
        """Put newer findings in the place of a line's present ones, which are kept as past; gives how many.

        Each item is the number of a finished try, the version of the checks and their findings; all of it
        happens in one transaction. Those that are gone are left out.
        """
        table, past, done = tables.word_try, tables.past_word_try, 0
        with self._database.writing(durable=True) as connection:
            for number, checks, findings in verdicts:
                row = connection.execute(
                    select(table.c.checks, table.c.findings).where(table.c.id == number, table.c.finished)
                ).first()
                if row is None:
                    continue
                before = {
                    "word_try": number,
                    "checks": row.checks,
                    "at": mappers.stamp(at or datetime.now(UTC)),
                    "findings": row.findings,
                }
                inserted(connection, past, before)
                changed = {"checks": checks, "findings": mappers.word_findings_text(findings)}
                connection.execute(update(table).where(table.c.id == number).values(changed))
                done += 1
        return done

    def _put(self, connection: Connection, tried: WordTry) -> int:
        """Write the row of a try: over the pupil's draft of it, or as a new one."""
        pupil_row(connection, tried.pupil)
        row, table = mappers.word_try_row(tried), tables.word_try
        draft = self._drafts.get(tried.pupil)
        if tried.part is WordPart.LINE and draft is not None and draft.word == tried.word:
            unfinished = (table.c.id == draft.number) & table.c.finished.is_(False)
            if connection.execute(update(table).where(unfinished).values(row)).rowcount:
                return draft.number
        return inserted(connection, table, row)
