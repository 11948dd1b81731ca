"""The record: pupils, plans and every attempt with its raw ink, kept so that nothing a child wrote is lost.

    with Record.open(places.record_file()) as record:
        nella = record.add_pupil("Nella", hand="left")
        record.keep_draft(nella.id, "b", Step.COPY, ink)     # at every pen-up
        record.keep(Attempt(None, nella.id, "b", Step.COPY, now, ink, Verdict.of(report)))

A draft is an attempt that is not finished yet: one row that grows with every pen-up and becomes the
finished attempt. After a crash it simply stays, as an attempt that was broken off.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from datetime import UTC, datetime, timedelta
from itertools import groupby
from pathlib import Path
from types import TracebackType
from typing import Any, Self

from sqlalchemy import Connection, Select, delete, func, insert, select, update

from strokes.ink import Ink
from strokes.letter import Hand
from trainer import tables
from trainer.attempt import CARDS, Attempt, Pupil, Step
from trainer.database import Database
from trainer.errors import (
    BrokenRecordError,
    BusyError,
    DiskFullError,
    NewerRecordError,
    PupilError,
    ReadOnlyError,
    RecordError,
)

__all__ = [
    "BrokenRecordError",
    "BusyError",
    "DiskFullError",
    "NewerRecordError",
    "PupilError",
    "ReadOnlyError",
    "Record",
    "RecordError",
]

DEFAULT_GROUP = "Class"
KEEP_INK_DAYS = 90
"""How long raw ink is kept unless the record says otherwise: about a term, to be shown to a family."""

NAME_LENGTH = 40


class Record:
    """An open record. One thread uses it at a time; several programs may have the same one open."""

    def __init__(self, database: Database) -> None:
        self._database = database
        self._drafts: dict[int, tuple[int, str]] = {}

    @classmethod
    def open(cls, place: Path | str, *, now: datetime | None = None) -> Record:
        """Open the record in a file, or at a database URL; a missing file is made.

        Ink past its time is erased. Raises RecordError, and then leaves the record as it was.
        """
        record = cls(Database(place))
        try:
            record.forget_old_ink(now or datetime.now(UTC))
        except BaseException:
            record.close()
            raise
        return record

    def close(self) -> None:
        """Close it; nothing waits to be written."""
        self._database.close()

    def __enter__(self) -> Self:
        return self

    def __exit__(
        self, kind: type[BaseException] | None, error: BaseException | None, at: TracebackType | None
    ) -> None:
        self.close()

    # Pupils

    def groups(self) -> tuple[str, ...]:
        """The groups that have pupils, by name."""
        query = select(tables.pupil.c.class_group).distinct().order_by(tables.pupil.c.class_group)
        with self._database.reading() as connection:
            return tuple(connection.scalars(query))

    def pupils(self, group: str | None = None, *, archived: bool = False) -> tuple[Pupil, ...]:
        """The pupils of a group, or all, by group and name; those archived only when asked for."""
        query = select(tables.pupil).order_by(tables.pupil.c.class_group, tables.pupil.c.name)
        if group is not None:
            query = query.where(tables.pupil.c.class_group == group)
        if not archived:
            query = query.where(tables.pupil.c.archived.is_(False))
        with self._database.reading() as connection:
            return tuple(map(tables.pupil_from, connection.execute(query)))

    def add_pupil(
        self, name: str, *, hand: Hand | None = None, group: str = DEFAULT_GROUP, card: int | None = None
    ) -> Pupil:
        """Add a pupil; without a card, the first one that is free in the group.

        Raises PupilError for a name that is empty, too long or taken in the group, and for a card
        that is not there or taken.
        """
        name, group = _name(name, "name"), _name(group, "group's name")
        with self._database.writing(durable=True) as connection:
            others = connection.execute(select(tables.pupil).where(tables.pupil.c.class_group == group)).all()
            if any(other.name.casefold() == name.casefold() for other in others):
                raise PupilError(f"{group} already has a pupil named {name}; add a letter to tell them apart")
            card = _card(card, {other.card: other.name for other in others})
            row = {"name": name, "class_group": group, "card": card, "hand": hand, "archived": False}
            number = _added(connection, tables.pupil, row)
        return Pupil(number, name, card, hand, group)

    def remove_pupil(self, pupil: int) -> None:
        """Erase a pupil with all attempts and findings, from the record and from the bytes of its files.

        Raises PupilError when there is no such pupil, BusyError when another window still reads the
        record: the pupil is gone then, and the last bytes go when that window is closed.
        """
        with self._database.writing(durable=True) as connection:
            if connection.execute(delete(tables.pupil).where(tables.pupil.c.id == pupil)).rowcount == 0:
                raise PupilError(f"the record has no pupil with the number {pupil}")
        self._drafts.pop(pupil, None)
        self._database.scrub()

    # Plans

    def plan(self, group: str = DEFAULT_GROUP) -> tuple[str, ...]:
        """The letters this group practices next, in order; none when nothing is planned."""
        query = (
            select(tables.plan.c.letter)
            .where(tables.plan.c.class_group == group)
            .order_by(tables.plan.c.place)
        )
        with self._database.reading() as connection:
            return tuple(connection.scalars(query))

    def set_plan(self, group: str, letters: Sequence[str]) -> None:
        """Put `letters` in the place of the group's plan; whether they exist is for the caller to know."""
        rows = [
            {"class_group": group, "place": place, "letter": letter}
            for place, letter in enumerate(dict.fromkeys(letters))
        ]
        with self._database.writing(durable=True) as connection:
            connection.execute(delete(tables.plan).where(tables.plan.c.class_group == group))
            if rows:
                connection.execute(insert(tables.plan), rows)

    # Attempts

    def keep(self, attempt: Attempt) -> Attempt:
        """Keep an attempt; it is on the disk when this returns, and the pupil's draft has become it."""
        with self._database.writing(durable=True) as connection:
            number = self._put(connection, attempt)
            if attempt.verdict and attempt.verdict.findings:
                connection.execute(insert(tables.finding), tables.finding_rows(number, attempt.verdict))
        self._drafts.pop(attempt.pupil, None)
        return tables.numbered(attempt, number)

    def keep_many(self, attempts: Sequence[Attempt]) -> None:
        """Keep finished attempts of the past in one transaction; drafts stay as they are."""
        with self._database.writing(durable=True) as connection:
            first = (connection.scalar(select(func.max(tables.attempt.c.id))) or 0) + 1
            rows = [{"id": number, **tables.attempt_row(kept)} for number, kept in enumerate(attempts, first)]
            found = [
                row
                for number, kept in enumerate(attempts, first)
                if kept.verdict
                for row in tables.finding_rows(number, kept.verdict)
            ]
            if rows:
                connection.execute(insert(tables.attempt), rows)
            if found:
                connection.execute(insert(tables.finding), found)

    def keep_draft(self, pupil: int, letter: str, step: Step, ink: Ink) -> None:
        """Keep what is written so far, all traces of it, at every pen-up; it is committed when this returns.

        One draft a pupil: it goes on while the letter is the same, with whatever help. Another letter
        leaves it as an attempt that was broken off; for the same letter anew, say `leave_draft`.
        """
        draft = Attempt(None, pupil, letter, step, datetime.now(UTC), ink, finished=False)
        with self._database.writing() as connection:
            number = self._put(connection, draft)
        self._drafts[pupil] = (number, letter)

    def leave_draft(self, pupil: int) -> None:
        """The pupil goes away from the letter: its draft stays, as an attempt that was broken off."""
        self._drafts.pop(pupil, None)

    def drop_draft(self, pupil: int) -> None:
        """Forget the pupil's draft: everything was taken back, or nothing was written."""
        if pupil not in self._drafts:
            return
        with self._database.writing() as connection:
            connection.execute(delete(tables.attempt).where(tables.attempt.c.id == self._drafts[pupil][0]))
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

    # How long ink is kept

    @property
    def keep_ink_days(self) -> int:
        """How many days raw ink is kept; verdicts stay until the pupil is removed."""
        query = select(tables.setting.c.value).where(tables.setting.c.name == "keep_ink_days")
        with self._database.reading() as connection:
            return int(connection.scalar(query) or KEEP_INK_DAYS)

    @keep_ink_days.setter
    def keep_ink_days(self, days: int) -> None:
        if days < 1:
            raise RecordError(f"ink must be kept for at least 1 day, not {days}")
        with self._database.writing(durable=True) as connection:
            connection.execute(delete(tables.setting).where(tables.setting.c.name == "keep_ink_days"))
            connection.execute(insert(tables.setting).values(name="keep_ink_days", value=str(days)))

    def forget_old_ink(self, now: datetime) -> int:
        """Erase the ink of attempts older than `keep_ink_days`, keep their verdicts; tells how many."""
        old = (
            tables.attempt.c.at < tables.stamp(now - timedelta(days=self.keep_ink_days))
        ) & tables.attempt.c.ink.is_not(None)
        with self._database.reading() as connection:
            if connection.execute(select(tables.attempt.c.id).where(old).limit(1)).first() is None:
                return 0
        with self._database.writing(durable=True) as connection:
            forgotten = connection.execute(update(tables.attempt).where(old).values(ink=None)).rowcount
        return forgotten

    def _put(self, connection: Connection, attempt: Attempt) -> int:
        """Write the row of an attempt: over the pupil's draft of it, or as a new one."""
        row = tables.attempt_row(attempt)
        number, letter = self._drafts.get(attempt.pupil, (None, None))
        if number is not None and letter == attempt.letter:
            if not attempt.finished:
                del row["at"]  # a draft keeps the time of its first stroke
            change = update(tables.attempt).where(tables.attempt.c.id == number).values(row)
            if connection.execute(change).rowcount:
                return number
        return _added(connection, tables.attempt, row)

    def _read(self, query: Select[Any], *, ink: bool) -> Iterator[Attempt]:
        if not ink:
            query = query.with_only_columns(*(column for column in tables.attempt.c if column.name != "ink"))
        with self._database.reading() as connection:
            rows = connection.execute(query).all()
            ids = query.with_only_columns(tables.attempt.c.id)
            order = (tables.finding.c.attempt, tables.finding.c.place)
            findings = connection.execute(
                select(tables.finding).where(tables.finding.c.attempt.in_(ids)).order_by(*order)
            )
            found = {number: tuple(group) for number, group in groupby(findings, lambda row: row.attempt)}
        for row in rows:
            try:
                yield tables.attempt_from(row, found.get(row.id, ()))
            except ValueError as error:
                raise BrokenRecordError(
                    f"{self._database.place}: attempt {row.id} is damaged: {error}"
                ) from error


def _chosen(pupil: int | None, letter: str | None, since: datetime | None) -> Select[Any]:
    query = select(tables.attempt)
    if pupil is not None:
        query = query.where(tables.attempt.c.pupil == pupil)
    if letter is not None:
        query = query.where(tables.attempt.c.letter == letter)
    if since is not None:
        query = query.where(tables.attempt.c.at >= tables.stamp(since))
    return query


def _added(connection: Connection, table: Any, row: dict[str, Any]) -> int:
    key = connection.execute(insert(table).values(row)).inserted_primary_key
    assert key is not None  # every table it is used for has an id
    return int(key[0])


def _name(name: str, what: str) -> str:
    name = " ".join(name.split())
    if not name or len(name) > NAME_LENGTH or not name.isprintable():
        raise PupilError(f"a {what} must be 1 to {NAME_LENGTH} letters, not {name!r}")
    return name


def _card(card: int | None, taken: dict[int, str]) -> int:
    """The card asked for, or the first free one; a group with more pupils than cards shares them."""
    if card is None:
        return next((free for free in range(1, CARDS + 1) if free not in taken), len(taken) % CARDS + 1)
    if not 1 <= card <= CARDS:
        raise PupilError(f"a card must be a number from 1 to {CARDS}, not {card}")
    if card in taken:
        raise PupilError(f"card {card} belongs to {taken[card]}; choose another")
    return card
