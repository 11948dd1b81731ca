"""The record's ink: how long it is kept, and reading it in bulk, page by page, so that memory stays small."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from contextlib import suppress
from dataclasses import dataclass
from datetime import UTC, date, datetime, time, timedelta

from sqlalchemy import ColumnElement, Table, func, select, update

from trainer.attempt import Step
from trainer.errors import BusyError, ReadOnlyError, RecordError
from trainer.record import mappers, tables
from trainer.record.database import Database
from trainer.record.settings import Settings

KEEP_INK_DAYS = 90
"""How long raw ink is kept unless the record says otherwise: about a term, to be shown to a family."""

LONGEST_INK_DAYS = 36_500
PAGE = 2000
"""Rows that are read at once, without their ink."""

LATELY = timedelta(days=30)
"""As long as somebody wrote on two days within it, nobody is asked what day it is."""

_LONG_AGO = datetime(1900, 1, 1, tzinfo=UTC)

_DAY = len("2026-09-07")
"""Characters of a stamp that name the day, in UTC."""

_KEEP_DAYS = "keep_ink_days"
"""The setting that says it."""


@dataclass(frozen=True)
class Judged:
    """An attempt that has a verdict and still has its ink: by which version of the checks it was judged."""

    number: int
    pupil: int
    letter: str
    checks: str
    formed: bool


@dataclass(frozen=True)
class Encoded:
    """The ink of an attempt as it lies in the record, not decoded, as it may be damaged."""

    number: int
    step: Step
    ink: bytes


class KeptInk:
    """The ink of all attempts, whoever wrote them."""

    def __init__(self, database: Database, settings: Settings) -> None:
        self._database = database
        self._settings = settings

    @property
    def keep_days(self) -> int:
        """How many days raw ink is kept; verdicts stay until the pupil is removed."""
        return int(self._settings.get(_KEEP_DAYS) or KEEP_INK_DAYS)

    @keep_days.setter
    def keep_days(self, days: int) -> None:
        if not 1 <= days <= LONGEST_INK_DAYS:
            raise RecordError(f"ink must be kept for at least 1 day and at most 100 years, not {days} days")
        self._settings.set(_KEEP_DAYS, str(days))

    def count_before(self, moment: datetime) -> int:
        """How many attempts, and words on one line, older than that still have their ink."""
        with self._database.reading() as connection:
            return sum(
                connection.scalar(
                    select(func.count()).select_from(table).where(_written_before(table, moment))
                )
                or 0
                for table in _WITH_INK
            )

    def doubtful(self, now: datetime) -> int:
        """How many attempts keep their ink until somebody says that `now` is right: the desk asks.

        None as long as somebody wrote lately: then the days of attempts tell soon enough.
        """
        confirmed = self._confirmed(now)
        if now - confirmed < LATELY:
            return 0
        past, certain = (moment - timedelta(days=self.keep_days) for moment in (now, confirmed))
        return self.count_before(past) - self.count_before(certain)

    def forget_old(self, now: datetime, *, certain: bool = False) -> int:
        """Erase the ink of attempts older than `keep_days`, keep their verdicts; gives back how many.

        One start with a clock that is years ahead must not erase everything: unless somebody is `certain` of
        `now`, it counts only as far as attempts of two days have come.
        """
        before = (now if certain else self._confirmed(now)) - timedelta(days=self.keep_days)
        if not self.count_before(before):
            return 0
        with self._database.writing(durable=True) as connection:
            forgotten = sum(
                connection.execute(
                    update(table).where(_written_before(table, before)).values(ink=None)
                ).rowcount
                for table in _WITH_INK
            )
        if forgotten:
            # It keeps nobody from the record: the last bytes go another day, with the ink of that day.
            with suppress(BusyError, ReadOnlyError):
                self._database.scrub(*_WITH_INK)
        return forgotten

    def judged(self, since: datetime | None = None) -> Iterator[Judged]:
        """The judged attempts with ink, by number; each page as the record is when it is asked for."""
        attempt = tables.attempt
        query = select(*(attempt.c[name] for name in ("id", "pupil", "letter", "checks", "formed")))
        query = query.where(attempt.c.formation.is_not(None), attempt.c.ink.is_not(None))
        if since is not None:
            query = query.where(attempt.c.at >= mappers.stamp(since))
        last = 0
        while True:
            page = query.where(attempt.c.id > last).order_by(attempt.c.id).limit(PAGE)
            with self._database.reading() as connection:
                rows = connection.execute(page).all()
            yield from (Judged(row.id, row.pupil, row.letter, row.checks, row.formed) for row in rows)
            if len(rows) < PAGE:
                return
            last = rows[-1].id

    def encoded(self, numbers: Sequence[int]) -> tuple[Encoded, ...]:
        """The ink of these attempts, by number; those that are gone or have none by now are left out."""
        attempt = tables.attempt
        query = select(attempt.c.id, attempt.c.step, attempt.c.ink).where(attempt.c.id.in_(numbers))
        with self._database.reading() as connection:
            rows = connection.execute(query.where(attempt.c.ink.is_not(None)).order_by(attempt.c.id)).all()
        inks = []
        for row in rows:
            with self._database.naming_attempt(row.id):
                inks.append(Encoded(row.id, Step(row.step), row.ink))
        return tuple(inks)

    def _confirmed(self, now: datetime) -> datetime:
        """`now`, but no later than the end of the last day but one on which somebody wrote."""
        at = tables.attempt.c.at
        last = select(at).order_by(at.desc()).limit(1)
        with self._database.reading() as connection:
            newest = connection.scalar(last.where(at <= mappers.stamp(now))) or ""
            before = connection.scalar(last.where(at < newest[:_DAY])) or ""
        try:
            day = datetime.combine(date.fromisoformat(before[:_DAY]), time(), UTC)
        except ValueError:  # nobody wrote on two days, or the date is damaged
            return _LONG_AGO
        return min(now, day + timedelta(days=1))


_WITH_INK = (tables.attempt, tables.word_try)
"""The tables whose rows have ink."""


def _written_before(table: Table, moment: datetime) -> ColumnElement[bool]:
    return (table.c.at < mappers.stamp(moment)) & table.c.ink.is_not(None)
