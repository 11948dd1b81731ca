"""What became secure when, of the class and of one pupil: a chart with its table, for a talk about a term."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

from flask import Blueprint, render_template, request

from trainer.attempt import Pupil
from trainer.desk.desk import desk
from trainer.desk.mastery import mark
from trainer.desk.pages import date_range, query
from trainer.desk.pictures import over_time as picture
from trainer.language import day_words, text
from trainer.teaching import LATELY, LetterOverTime, Level, OverTime, Period, by_set, teaching_order

page = Blueprint("over_time", __name__)


@dataclass(frozen=True)
class Row:
    """A letter in the table: since when it was tried and is secure, in words, and how it stands now."""

    letter: str
    tried: str
    secure: str
    now: Level
    share: str


@page.get("/class/over-time")
def show() -> str:
    """The class or one group."""
    record = desk().record
    groups = record.pupils.groups(archived=False)
    return _page(query.group(groups), None, groups)


@page.get("/pupil/<int:number>/over-time")
def pupil(number: int) -> str:
    """One pupil."""
    who = desk().record.pupils.get(number) or query.missing()
    return _page(who.group, who, ())


def _page(group: str | None, who: Pupil | None, groups: Sequence[str]) -> str:
    today = desk().now().astimezone().date()
    days = date_range.asked(request.args, desk().now(), usual=date_range.Days.TERM)
    order = teaching_order(*desk().alphabets.used_by([group] if group is not None else groups))
    figures = desk().record.figures.over_time(
        group,
        pupil=who.id if who else None,
        since=days.since,
        until=min(days.until or today, today),
        order=order,
    )
    letters = {each.letter: each for each in figures.letters}
    sets = by_set(letters)
    letter_set = query.letter_set(sets)
    shown = replace(
        figures, letters=tuple(letters[name] for name in (sets[letter_set] if letter_set else ()))
    )
    whose = who.name if who else group or text("tomorrow.group.all")
    of = "pupil" if who else "class"
    return render_template(
        "over_time/show.html",
        pupil=who,
        group=group,
        groups=groups,
        of=of,
        whose=whose,
        days=days,
        span=days.said(today),
        sets=tuple(sets),
        letter_set=letter_set,
        chart=_drawn(shown, of, whose) if shown.letters else "",
        rows=[_row(letter, figures.periods) for letter in shown.letters],
        samples=[(bar, picture.sample(bar)) for bar in picture.Bar],
        weeks=figures.weeks,
        mark=mark,
        lately=LATELY,
    )


def _drawn(figures: OverTime, of: str, whose: str) -> str:
    secure = [letter.letter for letter in figures.letters if letter.now is Level.MOSTLY]
    description = text(
        "over_time.chart.description",
        letters=len(figures.letters),
        first=day_words(figures.periods[0].first, year=True),
        last=day_words(figures.periods[-1].last, year=True),
        secure=", ".join(secure) or text("over_time.chart.none"),
    )
    return picture.drawn(
        figures, title=text(f"over_time.chart.title_{of}", whose=whose), description=description
    )


def _row(letter: LetterOverTime, periods: Sequence[Period]) -> Row:
    secure = _since(letter.secure_since, periods)
    if letter.secure_since is None:
        was = letter.secure_first
        secure = text("over_time.table.was", day=_since(was, periods)) if was is not None else ""
    good, of = letter.shares[-1]
    return Row(
        letter.letter,
        _since(letter.tried, periods),
        secure or text("over_time.table.not_yet"),
        letter.now,
        text("over_time.table.of", good=good, of=of) if of else text("over_time.table.none"),
    )


def _since(period: int | None, periods: Sequence[Period]) -> str:
    """The first day of a period, or that it was before all of them."""
    if period is None:
        return ""
    if period < 0:
        return text("over_time.table.before", day=day_words(periods[0].first))
    return day_words(periods[period].first)
