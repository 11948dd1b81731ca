"""Verdicts after the first one: a teacher's overruling, and newer checks that judge old ink again."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import UTC, datetime
from itertools import groupby
from typing import Any

from sqlalchemy import Connection, Select, delete, insert, select, update

from trainer.attempt import PastVerdict, Verdict
from trainer.errors import OnDamage, RemarkError
from trainer.record import mappers, tables
from trainer.record.attempts import findings_of
from trainer.record.counters import cells_of, recount
from trainer.record.database import Database, inserted
from trainer.record.notes import remark

REASON_LENGTH = 400


class Verdicts:
    """Changes the verdict of an attempt; its ink is never touched."""

    def __init__(self, database: Database) -> None:
        self._database = database

    def overrule(
        self, attempt: int, *, formed: bool, looks: bool, reason: str, at: datetime | None = None
    ) -> None:
        """Set a teacher's verdict beside the checks' one: it counts in its place from now on.

        A second overruling replaces the first. Raises RemarkError without a reason, and for an attempt
        that is not there or was never finished.
        """
        row = {
            "attempt": attempt,
            "formed": formed,
            "looks": looks,
            "reason": remark(reason, "reason", REASON_LENGTH),
            "at": mappers.stamp(at or datetime.now(UTC)),
        }
        with self._database.writing(durable=True) as connection:
            _check_judged(connection, attempt)
            connection.execute(delete(tables.overruling).where(tables.overruling.c.attempt == attempt))
            connection.execute(insert(tables.overruling).values(row))
            recount(connection, cells_of(connection, [attempt]))

    def withdraw_overruling(self, attempt: int) -> None:
        """Let the checks' verdict count again. Raises RemarkError when nothing was overruled."""
        with self._database.writing(durable=True) as connection:
            overruling = delete(tables.overruling).where(tables.overruling.c.attempt == attempt)
            if not connection.execute(overruling).rowcount:
                raise RemarkError(f"attempt {attempt} must have an overruling to withdraw, and has none")
            recount(connection, cells_of(connection, [attempt]))

    def replace(self, batch: Sequence[tuple[int, str, Verdict]], *, at: datetime | None = None) -> int:
        """Put newer verdicts in the place of the present ones, which are kept as past; gives back how many.

        Each item is an attempt's number, the version of the checks and their verdict. All of it happens
        in one transaction, or nothing. An overruling stays and goes on counting. Attempts that are gone
        or unfinished are left out.
        Raises BrokenRecordError where a present verdict is damaged.
        """
        newer = {number: (checks, verdict) for number, checks, verdict in batch}
        with self._database.writing(durable=True) as connection:
            present = self._present(connection, sorted(newer))
            for number, (checks, verdict) in present.items():
                past = mappers.past_row(number, checks, at or datetime.now(UTC), verdict)
                inserted(connection, tables.past_verdict, past)
                connection.execute(delete(tables.finding).where(tables.finding.c.attempt == number))
                checks, verdict = newer[number]
                change = update(tables.attempt).where(tables.attempt.c.id == number)
                connection.execute(change.values({**mappers.verdict_row(verdict), "checks": checks}))
                if verdict.findings:
                    connection.execute(insert(tables.finding), mappers.finding_rows(number, verdict))
            recount(connection, cells_of(connection, list(present)))
        return len(present)

    def past(self, pupil: int, *, on_damage: OnDamage | None = None) -> dict[int, tuple[PastVerdict, ...]]:
        """The verdicts that newer checks have replaced, oldest first, by the number of a pupil's attempt.

        Damaged ones as in `Attempts.find`.
        """
        past, attempt = tables.past_verdict, tables.attempt
        query = select(past).join(attempt).where(attempt.c.pupil == pupil)
        with self._database.reading() as connection:
            rows = connection.execute(query.order_by(past.c.attempt, past.c.at, past.c.id)).all()
        verdicts = {}
        for number, replaced in groupby(rows, lambda row: row.attempt):
            with self._database.naming_attempt(number, on_damage):
                verdicts[number] = tuple(map(mappers.past_from, replaced))
        return verdicts

    def _present(self, connection: Connection, numbers: Sequence[int]) -> dict[int, tuple[str, Verdict]]:
        """The checks and verdicts that count now, by attempt, without those that have no verdict."""
        attempt = tables.attempt
        of_batch = attempt.c.id.in_(numbers) & attempt.c.formation.is_not(None)
        findings = findings_of(connection, tables.finding.c.attempt.in_(numbers))
        columns: Select[Any] = select(*(column for column in attempt.c if column is not attempt.c.ink))
        present = {}
        for row in connection.execute(columns.where(of_batch).order_by(attempt.c.id)):
            with self._database.naming_attempt(row.id):
                present[row.id] = row.checks, mappers.verdict_from(row, findings.get(row.id, ()))
        return present


def _check_judged(connection: Connection, attempt: int) -> None:
    query = select(tables.attempt.c.finished).where(tables.attempt.c.id == attempt)
    if not connection.scalar(query):
        raise RemarkError(f"attempt {attempt} must be a finished one to be overruled, and is none")
