"""The days a page looks at: the last week, four weeks, everything, or from one day to another."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date, datetime, timedelta
from enum import StrEnum

from trainer.language import text


class Days(StrEnum):
    """How the days are chosen."""

    WEEK = "week"
    MONTH = "month"
    ALL = "all"
    DATES = "dates"


_BACK = {Days.WEEK: timedelta(days=7), Days.MONTH: timedelta(weeks=4)}


@dataclass(frozen=True)
class DateRange:
    """From one day to another, both among them; None is open.

    `first` and `last` are what was typed, so that a form can show it again; `wrong` says in a sentence
    what is wrong with it, and then nothing is limited by it.
    """

    days: Days
    since: date | None = None
    until: date | None = None
    first: str = ""
    last: str = ""
    wrong: str = ""

    @property
    def is_all(self) -> bool:
        """Whether nothing is limited."""
        return self.since is None and self.until is None


def asked(args: Mapping[str, str], now: datetime) -> DateRange:
    """The range that an address asks for: `days=week`, or `days=dates&from=2026-09-01&to=2026-09-30`.

    Of the two days of a pair either may be left out. Anything unknown is the whole time.
    """
    name = args.get("days", "")
    days = Days(name) if name in set(Days) else Days.ALL
    if days is Days.DATES:
        return _between(args.get("from", "").strip(), args.get("to", "").strip())
    if days is Days.ALL:
        return DateRange(days)
    return DateRange(days, since=now.astimezone().date() + timedelta(days=1) - _BACK[days])


def _between(first: str, last: str) -> DateRange:
    days = []
    for typed in (first, last):
        try:
            days.append(date.fromisoformat(typed) if typed else None)
        except ValueError:
            return DateRange(
                Days.DATES, first=first, last=last, wrong=text("classroom.days.no_date", typed=typed)
            )
    since, until = days
    if since and until and since > until:
        return DateRange(Days.DATES, first=first, last=last, wrong=text("classroom.days.turned"))
    return DateRange(Days.DATES, since, until, first, last)
