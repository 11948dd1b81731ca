"""The record's attempts: drafts at every pen-up, finished attempts with their verdicts, and reading them.

A draft is an attempt that is not finished yet: one row that is written anew at every pen-up and becomes the
finished attempt. After a crash it stays, as an attempt that was broken off.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, replace
from datetime import UTC, datetime
from itertools import groupby
from typing import Any

from sqlalchemy import ColumnElement, Connection, Row, Select, delete, func, insert, select, tuple_, update

from strokes.ink import Ink
from strokes.kinds import Kind
from strokes.report import Finding
from trainer.attempt import Attempt, InWord, Step, Verdict
from trainer.errors import OnDamage, pass_over
from trainer.record import mappers, tables
from trainer.record.counters import Cell, compiled, recount
from trainer.record.database import Database, inserted, numbered
from trainer.record.pupils import pupil_row

_COLUMNS = (
    *tables.attempt.c,
    tables.overruling.c.formed.label("overruled_formed"),
    tables.overruling.c.looks.label("overruled_looks"),
    tables.overruling.c.reason,
    tables.overruling.c.at.label("overruled_at"),
)


@dataclass(frozen=True)
class Draft:
    """Where the unfinished attempt of a pupil lies."""

    number: int
    letter: str
    day: str
    in_word: InWord | None = None

    def begins(self, attempt: Attempt) -> bool:
        """Whether an attempt goes on with this draft."""
        return (self.letter, self.in_word) == (attempt.letter, attempt.in_word)


class Attempts:
    """What was written, finished or broken off; this window's unfinished attempts are its drafts."""

    def __init__(self, database: Database) -> None:
        self._database = database
        self._drafts: dict[int, Draft] = {}

    def keep(self, attempt: Attempt) -> Attempt:
        """Keep an attempt; it is on the disk when this returns, and the pupil's draft has become it.

        Raises PupilError when the pupil is not in the record, as after an erasure elsewhere.
        """
        with self._database.writing(durable=True) as connection:
            number = self._finish(connection, attempt)
        self._drafts.pop(attempt.pupil, None)
        return mappers.numbered(attempt, number)

    def keep_many(self, attempts: Sequence[Attempt]) -> tuple[int, ...]:
        """Keep finished attempts of the past in one transaction; drafts stay. Gives back their numbers."""
        with self._database.writing(durable=True) as connection:
            return put_many(connection, attempts)

    def keep_draft(
        self, pupil: int, letter: str, step: Step, ink: Ink, in_word: InWord | None = None
    ) -> None:
        """Keep what is written so far, all traces of it, at every pen-up; it is committed when this returns.

        One draft a pupil: it goes on while the letter is the same, in the same place of a word where it is
        written `in_word`, with whatever help. Another letter
        leaves it as an attempt that was broken off; for the same letter anew, say `leave_draft`. Raises
        PupilError as `keep` does.
        """
        now = datetime.now(UTC)
        draft = Attempt(None, pupil, letter, step, now, ink, finished=False, in_word=in_word)
        with self._database.writing() as connection:
            stored = self._go_on(connection, draft)
        self._drafts[pupil] = stored

    def warm_up(self) -> None:
        """Do once what pen-ups do, and undo it: its statements are made by then, which takes long.

        Any thread may do this. The longest part is over before it keeps others from writing for a moment.
        """
        compiled(self._database.dialect)
        with self._database.reading() as connection:
            pupil = connection.scalar(select(func.min(tables.pupil.c.id)))
        if pupil is None:
            return
        draft = Attempt(None, pupil, "", Step.COPY, datetime.now(UTC), Ink(), finished=False)
        verdict = Verdict("", formed=False, looks=False, findings=(Finding(Kind.EXTRA, 1, 0),))
        apart = Attempts(self._database)
        with self._database.writing() as connection, connection.begin_nested() as trial:
            for _ in range(2):
                apart._drafts[pupil] = apart._go_on(connection, draft)
            apart._finish(connection, replace(draft, verdict=verdict, finished=True))
            trial.rollback()

    def leave_draft(self, pupil: int) -> None:
        """The pupil goes away from the letter: its draft stays, as an attempt that was broken off."""
        self._drafts.pop(pupil, None)

    def drop_draft(self, pupil: int) -> None:
        """Forget the pupil's draft: everything was taken back, or nothing was written."""
        draft = self._drafts.get(pupil)
        if draft is None:
            return
        with self._database.writing() as connection:
            connection.execute(delete(tables.attempt).where(_is(draft, pupil)))
            recount(connection, [(pupil, draft.letter, draft.day)])
        del self._drafts[pupil]

    def find(
        self,
        pupil: int | None = None,
        letter: str | None = None,
        since: datetime | None = None,
        *,
        ink: bool = True,
        on_damage: OnDamage | None = None,
    ) -> Iterator[Attempt]:
        """The attempts, oldest first, unfinished ones among them; without `ink` they are read faster.

        A damaged one is passed over and told to `on_damage`; without that, BrokenRecordError is raised.
        """
        query = _chosen(pupil, letter, since).order_by(tables.attempt.c.at, tables.attempt.c.id)
        yield from self._read(query, ink=ink, on_damage=on_damage)

    def latest(
        self,
        pupil: int,
        letter: str | None = None,
        n: int = 12,
        *,
        skip: int = 0,
        traced: bool | None = None,
        ink: bool = True,
        on_damage: OnDamage | None = None,
    ) -> tuple[Attempt, ...]:
        """A pupil's last `n` attempts, newest first, broken off ones among them; faster without `ink`.

        The newest `skip` are left out. `traced` limits them to those with the model under the pen, or to
        all others. Damaged ones as in `find`.
        """
        # days first, as in the indexes; a later day is a later time
        newest = (tables.attempt.c[name].desc() for name in ("day", "at", "id"))
        query = _chosen(pupil, letter, None).order_by(*newest).offset(skip).limit(n)
        if traced is not None:
            step = tables.attempt.c.step
            query = query.where(step == Step.TRACE.value if traced else step != Step.TRACE.value)
        return tuple(self._read(query, ink=ink, on_damage=on_damage))

    def latest_with_ink(
        self, pupil: int, letter: str, wanted: Callable[[Attempt], bool], *, n: int
    ) -> Attempt | None:
        """The latest of a pupil's last `n` attempts at a letter that is wanted and has its ink, or None.

        `wanted` is asked without the ink, which is read for that one alone. Damaged ones are passed over.
        """
        for attempt in self.latest(pupil, letter, n=n, ink=False, on_damage=pass_over):
            if wanted(attempt):
                with_ink = self.get(attempt.id or 0)
                if with_ink and with_ink.ink.traces:
                    return with_ink
        return None

    def get(self, number: int) -> Attempt | None:
        """The attempt with that number, with its ink; None when there is none."""
        if not 0 < number <= mappers.LARGEST_NUMBER:
            return None
        query = _chosen(None, None, None).where(tables.attempt.c.id == number)
        return next(self._read(query, ink=True), None)

    def between(self, first: int, last: int, *, on_damage: OnDamage) -> Iterator[Attempt]:
        """The attempts with numbers from `first` to `last`, without ink; damaged ones as in `find`."""
        number = tables.attempt.c.id
        query = _chosen(None, None, None).where(number.between(first, last)).order_by(number)
        yield from self._read(query, ink=False, on_damage=on_damage)

    def written_at(self, letter: str, moment: datetime) -> tuple[Attempt, ...]:
        """The attempts at a letter in that millisecond, as exact as a file gives it; of any pupil."""
        first = moment.replace(microsecond=moment.microsecond // 1000 * 1000)
        last = first.replace(microsecond=first.microsecond + 999)
        query = _chosen(None, letter, first).where(tables.attempt.c.at <= mappers.stamp(last))
        return tuple(self._read(query, ink=True))

    def neighbors(self, attempt: Attempt) -> tuple[int | None, int | None]:
        """The numbers of the pupil's attempts at the same letter just before and just after this one.

        Broken off ones are among them; None where there is none.
        """
        at, number = tables.attempt.c.at, tables.attempt.c.id
        same_letter = _chosen(attempt.pupil, attempt.letter, None)
        here = mappers.stamp(attempt.at), attempt.id
        older = same_letter.where(tuple_(at, number) < here).order_by(at.desc(), number.desc())
        newer = same_letter.where(tuple_(at, number) > here).order_by(at, number)
        with self._database.reading() as connection:
            before, after = (
                connection.scalar(query.with_only_columns(number).limit(1)) for query in (older, newer)
            )
        return before, after

    def _finish(self, connection: Connection, attempt: Attempt) -> int:
        """Write a finished attempt, over its draft; gives its number."""
        pupil_row(connection, attempt.pupil)
        number = self._put(connection, attempt)
        if attempt.verdict and attempt.verdict.findings:
            connection.execute(insert(tables.finding), mappers.finding_rows(number, attempt.verdict))
        recount(connection, self._touched(attempt))
        return number

    def _go_on(self, connection: Connection, attempt: Attempt) -> Draft:
        """Write what is written so far; gives where it lies."""
        pupil_row(connection, attempt.pupil)
        number = self._put(connection, attempt)
        stored = self._drafts.get(attempt.pupil)
        if stored is not None and stored.number == number:
            return stored
        recount(connection, [_cell(attempt)])
        return Draft(number, attempt.letter, mappers.day_of(attempt.at), attempt.in_word)

    def _touched(self, attempt: Attempt) -> set[Cell]:
        """Where an attempt and the draft that it may have been are counted."""
        draft = self._drafts.get(attempt.pupil)
        cells = {_cell(attempt)}
        return cells | {(attempt.pupil, draft.letter, draft.day)} if draft else cells

    def _put(self, connection: Connection, attempt: Attempt) -> int:
        """Write the row of an attempt: over the pupil's draft of it, or as a new one."""
        row = mappers.attempt_row(attempt)
        draft = self._drafts.get(attempt.pupil)
        if draft is not None and draft.begins(attempt):
            # a draft keeps the time of its first stroke
            first = () if attempt.finished else ("at", "day")
            changed = {name: value for name, value in row.items() if name not in first}
            change = update(tables.attempt).where(_is(draft, attempt.pupil)).values(changed)
            if connection.execute(change).rowcount:
                return draft.number
        return inserted(connection, tables.attempt, row)

    def _read(self, query: Select[Any], *, ink: bool, on_damage: OnDamage | None = None) -> Iterator[Attempt]:
        """The attempts of a query, whose rows are held in memory until they are asked for."""
        columns = [column for column in _COLUMNS if ink or column is not tables.attempt.c.ink]
        chosen = query.with_only_columns(*columns).outerjoin_from(tables.attempt, tables.overruling)
        ids = query.with_only_columns(tables.attempt.c.id)
        with self._database.reading() as connection:
            rows = connection.execute(chosen).all()
            findings = findings_of(connection, tables.finding.c.attempt.in_(ids))
        for row in rows:
            attempt_read = None
            with self._database.naming_attempt(row.id, on_damage):
                attempt_read = mappers.attempt_from(row, findings.get(row.id, ()))
            if attempt_read is not None:
                yield attempt_read


def put_many(
    connection: Connection, attempts: Sequence[Attempt], *, taken_in: int | None = None
) -> tuple[int, ...]:
    """Write finished attempts, of the import `taken_in` where they came from a file; gives their numbers."""
    numbers: Sequence[int] = ()
    if attempts:
        # the numbers come in the order of the rows
        put = insert(tables.attempt).returning(tables.attempt.c.id, sort_by_parameter_order=True)
        rows = [{**mappers.attempt_row(attempt), "taken_in": taken_in} for attempt in attempts]
        numbers = connection.scalars(put, numbered(connection, tables.attempt, rows)).all()
    findings = [
        row
        for number, attempt in zip(numbers, attempts, strict=True)
        if attempt.verdict
        for row in mappers.finding_rows(number, attempt.verdict)
    ]
    if findings:
        connection.execute(insert(tables.finding), findings)
    recount(connection, map(_cell, attempts))
    return tuple(numbers)


def findings_of(connection: Connection, condition: ColumnElement[bool]) -> dict[int, tuple[Row[Any], ...]]:
    """The rows of the findings that meet the condition, in their order, by the number of their attempt."""
    finding = tables.finding
    query = select(finding).where(condition).order_by(finding.c.attempt, finding.c.place)
    by_attempt = groupby(connection.execute(query), lambda row: row.attempt)
    return {number: tuple(rows) for number, rows in by_attempt}


def _is(draft: Draft, pupil: int) -> ColumnElement[bool]:
    """That row, as long as it is a draft of this pupil: another window may have erased it."""
    attempt = tables.attempt
    return (attempt.c.id == draft.number) & (attempt.c.pupil == pupil) & attempt.c.finished.is_(False)


def _cell(attempt: Attempt) -> Cell:
    return attempt.pupil, attempt.letter, mappers.day_of(attempt.at)


def _chosen(pupil: int | None, letter: str | None, since: datetime | None) -> Select[Any]:
    query = select(tables.attempt)
    if pupil is not None:
        query = query.where(tables.attempt.c.pupil == pupil)
    if letter is not None:
        query = query.where(tables.attempt.c.letter == letter)
    if since is not None:
        query = query.where(tables.attempt.c.at >= mappers.stamp(since))
    return query
