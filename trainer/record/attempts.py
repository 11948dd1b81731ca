"""The record's attempts: drafts at every pen-up, finished ones with their verdicts, and reading them.

A draft is an attempt that is not finished yet: one row that grows with every pen-up and becomes the
finished attempt. After a crash it simply stays, as an attempt that was broken off.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from datetime import UTC, datetime
from itertools import groupby
from typing import Any

from sqlalchemy import ColumnElement, Connection, Select, delete, insert, select, tuple_, update

from strokes.ink import Ink
from trainer.attempt import Attempt, Step
from trainer.record import mappers, tables
from trainer.record.counters import Cell, recount
from trainer.record.database import Database, added
from trainer.record.pupils import found

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


class Attempts:
    """The part of the record that keeps what was written."""

    _database: Database

    def __init__(self) -> None:
        self._drafts: dict[int, Draft] = {}

    def keep(self, attempt: Attempt) -> Attempt:
        """Keep an attempt; it is on the disk when this returns, and the pupil's draft has become it.

        Raises PupilError when the pupil is not in the record, as after an erasure elsewhere.
        """
        with self._database.writing(durable=True) as connection:
            found(connection, attempt.pupil)
            number = self._put(connection, attempt)
            if attempt.verdict and attempt.verdict.findings:
                connection.execute(insert(tables.finding), mappers.finding_rows(number, attempt.verdict))
            recount(connection, self._touched(attempt))
        self._drafts.pop(attempt.pupil, None)
        return mappers.numbered(attempt, number)

    def keep_many(self, attempts: Sequence[Attempt]) -> tuple[int, ...]:
        """Keep finished attempts of the past in one transaction, drafts stay; gives back their numbers."""
        with self._database.writing(durable=True) as connection:
            numbers: Sequence[int] = ()
            if attempts:
                # the numbers come in the order of the rows
                put = insert(tables.attempt).returning(tables.attempt.c.id, sort_by_parameter_order=True)
                numbers = connection.scalars(put, list(map(mappers.attempt_row, attempts))).all()
            found = [
                row
                for number, kept in zip(numbers, attempts, strict=True)
                if kept.verdict
                for row in mappers.finding_rows(number, kept.verdict)
            ]
            if found:
                connection.execute(insert(tables.finding), found)
            recount(connection, map(_cell, attempts))
        return tuple(numbers)

    def keep_draft(self, pupil: int, letter: str, step: Step, ink: Ink) -> None:
        """Keep what is written so far, all traces of it, at every pen-up; it is committed when this returns.

        One draft a pupil: it goes on while the letter is the same, with whatever help. Another letter
        leaves it as an attempt that was broken off; for the same letter anew, say `leave_draft`. Raises
        PupilError as `keep` does.
        """
        draft = Attempt(None, pupil, letter, step, datetime.now(UTC), ink, finished=False)
        with self._database.writing() as connection:
            found(connection, pupil)
            number = self._put(connection, draft)
            known = self._drafts.get(pupil)
            if known is None or known.number != number:
                recount(connection, [_cell(draft)])
                known = Draft(number, letter, mappers.day_of(draft.at))
        self._drafts[pupil] = known

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

    def attempts(
        self,
        pupil: int | None = None,
        letter: str | None = None,
        since: datetime | None = None,
        *,
        ink: bool = True,
    ) -> Iterator[Attempt]:
        """The attempts, oldest first, unfinished ones among them; without `ink` they are read faster."""
        query = _chosen(pupil, letter, since).order_by(tables.attempt.c.at, tables.attempt.c.id)
        yield from self._read(query, ink=ink)

    def latest(
        self, pupil: int, letter: str | None = None, n: int = 12, *, ink: bool = True
    ) -> tuple[Attempt, ...]:
        """A pupil's last `n` attempts, newest first, broken off ones among them; faster without `ink`."""
        newest = (tables.attempt.c.at.desc(), tables.attempt.c.id.desc())
        return tuple(self._read(_chosen(pupil, letter, None).order_by(*newest).limit(n), ink=ink))

    def attempt(self, number: int) -> Attempt | None:
        """The attempt with that number, with its ink; None when there is none."""
        if not 0 < number <= mappers.LARGEST_NUMBER:
            return None
        query = _chosen(None, None, None).where(tables.attempt.c.id == number)
        return next(self._read(query, ink=True), None)

    def neighbors(self, one: Attempt) -> tuple[int | None, int | None]:
        """The numbers of the pupil's attempts at the same letter just before and just after one that is kept.

        Broken off ones are among them; None where there is none.
        """
        at, number = tables.attempt.c.at, tables.attempt.c.id
        own, here = _chosen(one.pupil, one.letter, None), (mappers.stamp(one.at), one.id)
        older = own.where(tuple_(at, number) < here).order_by(at.desc(), number.desc())
        newer = own.where(tuple_(at, number) > here).order_by(at, number)
        with self._database.reading() as connection:
            before, after = (
                connection.scalar(query.with_only_columns(number).limit(1)) for query in (older, newer)
            )
        return before, after

    def _touched(self, attempt: Attempt) -> set[Cell]:
        """Where an attempt and the draft that it may have been are counted."""
        draft = self._drafts.get(attempt.pupil)
        cells = {_cell(attempt)}
        return cells | {(attempt.pupil, draft.letter, draft.day)} if draft else cells

    def _put(self, connection: Connection, attempt: Attempt) -> int:
        """Write the row of an attempt: over the pupil's draft of it, or as a new one."""
        row = mappers.attempt_row(attempt)
        draft = self._drafts.get(attempt.pupil)
        if draft is not None and draft.letter == attempt.letter:
            # a draft keeps the time of its first stroke
            first = () if attempt.finished else ("at", "day")
            grown = {name: value for name, value in row.items() if name not in first}
            change = update(tables.attempt).where(_is(draft, attempt.pupil)).values(grown)
            if connection.execute(change).rowcount:
                return draft.number
        return added(connection, tables.attempt, row)

    def _read(self, query: Select[Any], *, ink: bool) -> Iterator[Attempt]:
        """The attempts of a query, whose rows are held in memory until they are asked for."""
        columns = [column for column in _COLUMNS if ink or column is not tables.attempt.c.ink]
        attempt, finding, overruling = tables.attempt, tables.finding, tables.overruling
        chosen = query.with_only_columns(*columns).outerjoin_from(attempt, overruling)
        ids = query.with_only_columns(attempt.c.id)
        seen = select(finding).where(finding.c.attempt.in_(ids)).order_by(finding.c.attempt, finding.c.place)
        with self._database.reading() as connection:
            written = connection.execute(chosen).all()
            by_attempt = groupby(connection.execute(seen), lambda row: row.attempt)
            found = {number: tuple(group) for number, group in by_attempt}
        for row in written:
            with self._database.told_with(row.id):
                attempt_read = mappers.attempt_from(row, found.get(row.id, ()))
            yield attempt_read


def _is(draft: Draft, pupil: int) -> ColumnElement[bool]:
    """That row and no other: numbers are given anew after an erasure, which another window may have done."""
    attempt = tables.attempt
    return (attempt.c.id == draft.number) & (attempt.c.pupil == pupil) & attempt.c.finished.is_(False)


def _cell(kept: Attempt) -> Cell:
    return kept.pupil, kept.letter, mappers.day_of(kept.at)


def _chosen(pupil: int | None, letter: str | None, since: datetime | None) -> Select[Any]:
    query = select(tables.attempt)
    if pupil is not None:
        query = query.where(tables.attempt.c.pupil == pupil)
    if letter is not None:
        query = query.where(tables.attempt.c.letter == letter)
    if since is not None:
        query = query.where(tables.attempt.c.at >= mappers.stamp(since))
    return query
