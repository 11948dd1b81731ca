"""What a page looks at: the last tries, a week, a month, a term, everything, or from one day to another."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date, datetime, timedelta
from enum import StrEnum

from trainer.language import day_words, text
from trainer.teaching import LATELY, TERM, monday


class Days(StrEnum):
    """How the days are chosen; by the last tries at each letter, on whatever day they were."""

    LATELY = "lately"
    WEEK = "week"
    MONTH = "month"
    TERM = "term"
    ALL = "all"
    DATES = "dates"


_BACK = {Days.WEEK: timedelta(days=7), Days.MONTH: timedelta(weeks=4), Days.TERM: timedelta(weeks=TERM)}


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

    def said(self, today: date) -> str:
        """The span in words, for a page that may lie printed on a desk weeks later."""
        day = day_words(today, year=True)
        if self.days is Days.LATELY:
            return text("classroom.span.lately", lately=LATELY, day=day)
        since = day_words(self.since, year=True) if self.since else ""
        until = day_words(self.until, year=True) if self.until else day
        return text("classroom.span.since" if since else "classroom.span.until", since=since, until=until)


def asked(args: Mapping[str, str], now: datetime, *, usual: Days = Days.LATELY) -> DateRange:
    """The range that an address asks for: `days=week`, or `days=dates&from=2026-09-01&to=2026-09-30`.

    Of the two days of a pair either may be left out. Without any, and for anything unknown, it is the `usual`
    range: the last tries, by which Tomorrow goes too.
    """
    name = args.get("days", "")
    days = Days(name) if name in set(Days) else usual
    if days is Days.DATES:
        return _between(args.get("from", "").strip(), args.get("to", "").strip())
    if days not in _BACK:
        return DateRange(days)
    since = now.astimezone().date() + timedelta(days=1) - _BACK[days]
    if days is Days.TERM:
        since = monday(since + timedelta(days=6))  # whole weeks, as the columns of a chart are
    return DateRange(days, since=since)


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
