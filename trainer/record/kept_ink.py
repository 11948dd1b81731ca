"""The record's kept ink, page by page, so that any number of attempts takes little memory."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from datetime import datetime

from sqlalchemy import select

from trainer.attempt import Step
from trainer.record import mappers, tables
from trainer.record.database import Database

PAGE = 2000
"""Rows that are read at once, without their ink."""


@dataclass(frozen=True)
class Judged:
    """An attempt that has a verdict and still has its ink: by which edition of the checks it was judged."""

    number: int
    pupil: int
    letter: str
    checks: str
    formed: bool


@dataclass(frozen=True)
class Packed:
    """The ink of an attempt as it lies in the record, not unpacked, as it may be damaged."""

    number: int
    step: Step
    ink: bytes


class KeptInk:
    """The part of the record that reads ink in bulk."""

    _database: Database

    def judged_with_ink(self, since: datetime | None = None) -> Iterator[Judged]:
        """All of them by their numbers, in the pages that the record has at the time each is asked for."""
        attempt = tables.attempt
        query = select(*(attempt.c[name] for name in ("id", "pupil", "letter", "checks", "formed")))
        query = query.where(attempt.c.formation.is_not(None), attempt.c.ink.is_not(None))
        if since is not None:
            query = query.where(attempt.c.at >= mappers.stamp(since))
        last = 0
        while True:
            page = query.where(attempt.c.id > last).order_by(attempt.c.id).limit(PAGE)
            with self._database.reading() as connection:
                found = connection.execute(page).all()
            yield from (Judged(row.id, row.pupil, row.letter, row.checks, row.formed) for row in found)
            if len(found) < PAGE:
                return
            last = found[-1].id

    def packed_ink(self, numbers: Sequence[int]) -> tuple[Packed, ...]:
        """The ink of these attempts, by number; those that are gone or have none by now are left out."""
        attempt = tables.attempt
        query = select(attempt.c.id, attempt.c.step, attempt.c.ink).where(attempt.c.id.in_(numbers))
        with self._database.reading() as connection:
            found = connection.execute(query.where(attempt.c.ink.is_not(None)).order_by(attempt.c.id)).all()
        packed = []
        for row in found:
            with self._database.told_with(row.id):
                packed.append(Packed(row.id, Step(row.step), row.ink))
        return tuple(packed)
