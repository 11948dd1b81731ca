"""The record's figures: the summary of the class, a group or a pupil."""

from __future__ import annotations

from datetime import date, datetime

from trainer.attempts import Attempts
from trainer.database import Database
from trainer.pupils import Pupils
from trainer.rows import day_of
from trainer.summary import Summary, summarize


class Figures(Pupils, Attempts):
    """The part of the record that sums up."""

    _database: Database

    def summary(
        self,
        group: str | None = None,
        *,
        pupil: int | None = None,
        since: datetime | date | None = None,
        until: datetime | date | None = None,
    ) -> Summary:
        """The figures of all, of a group or of one pupil, from the day of `since` to that of `until`."""
        pupils = self.pupils(group)
        if pupil is not None:
            pupils = tuple(one for one in self.pupils(archived=True) if one.id == pupil)
        first, last = _day(since) or "", _day(until) or "9999"
        kept = [one for one in self.attempts(pupil, ink=False) if first <= day_of(one.at) <= last]
        return summarize(kept, pupils)


def _day(moment: datetime | date | None) -> str | None:
    if moment is None:
        return None
    return day_of(moment) if isinstance(moment, datetime) else moment.isoformat()
