"""What became secure when, as a chart: a row for each letter, a column for each week, one bar per letter.

A bar is thick where the letter is secure, thin where it is being learned, and a row of dots where there are
too few tries: that is read without color. All of it stands in the table beside it, too.
"""

from __future__ import annotations

from collections.abc import Iterator
from enum import StrEnum
from itertools import groupby
from math import ceil

from markupsafe import Markup

from trainer.desk.pictures.svg import Sheet
from trainer.drawing import Rect, theme
from trainer.language import day_words
from trainer.teaching import Level, OverTime

ROW, LETTERS, WIDEST, COLUMN = 22.0, 34.0, 690.0, 48.0
"""In px: a row, the room for its letter, the chart, and a column where there are few."""

DATE = 52.0
"""Px that a day under the chart needs."""

SECURE, LEARNING, DOT = 12.0, 3.5, 1.8
"""In px: how thick the bars are, and the radius of a dot."""

EARLIER = 7.0
"""Px by which a bar that began before the first week juts out to the left."""

FIGURES = 12.0


class Bar(StrEnum):
    """How a letter is drawn over some weeks."""

    SECURE = "secure"
    LEARNING = "learning"
    FEW = "few"


_BARS = {
    Level.MOSTLY: Bar.SECURE,
    Level.PARTLY: Bar.LEARNING,
    Level.SELDOM: Bar.LEARNING,
    Level.FEW: Bar.FEW,
}


def drawn(figures: OverTime, *, title: str, description: str) -> Markup:
    """The chart; `title` and `description` are for screen readers. Wants a letter and a period at least."""
    sheet, count = Sheet(), len(figures.periods)
    column = min(COLUMN, (WIDEST - LETTERS) / count)
    right, bottom = LETTERS + count * column, ROW * len(figures.letters)
    for at in range(count + 1):
        sheet.line([(LETTERS + at * column, 0.0), (LETTERS + at * column, bottom)], 1.0, theme.PALE)
    for row, letter in enumerate(figures.letters):
        middle = (row + 0.5) * ROW
        sheet.line([(LETTERS, middle + ROW / 2), (right, middle + ROW / 2)], 1.0, theme.PALE)
        sheet.text(letter.letter, (LETTERS / 2 - 4, middle), 1.4 * FIGURES, theme.TEXT, bold=True)
        for bar, first, beyond in _runs((letter.before, *letter.levels)):
            left = LETTERS - EARLIER if first < 0 else LETTERS + first * column
            _draw(sheet, bar, left, LETTERS + beyond * column, middle, column)
    every = ceil(DATE / column)
    for at in range(0, count, every):
        x = LETTERS + at * column
        sheet.line([(x, bottom), (x, bottom + 5)], 1.0, theme.TEXT)
        day = day_words(figures.periods[at].first)
        sheet.text(day, (x, bottom + 14), FIGURES, theme.TEXT)
    size = (right + DATE / 2, bottom + 24)
    return Markup(
        '<svg xmlns="http://www.w3.org/2000/svg" class="over-time" role="img" width="{:g}" height="{:g}"'
        ' viewBox="0 -2 {:g} {:g}"><title>{}</title><desc>{}</desc>{}</svg>'
    ).format(*size, *size, title, description, Markup("").join(sheet.elements))


def sample(bar: Bar) -> Markup:
    """A piece of a bar for the legend, where words beside it say what it means."""
    sheet = Sheet()
    _draw(sheet, bar, 1.0, 37.0, 7.0, 18.0)
    head = Markup('<svg class="mark" aria-hidden="true" width="38" height="14" viewBox="0 0 38 14">')
    return head + Markup("").join(sheet.elements) + Markup("</svg>")


def _runs(levels: tuple[Level, ...]) -> Iterator[tuple[Bar, int, int]]:
    """Bars over periods in a row: the first one, and the one behind the last; -1 is the time before all."""
    at = -1
    for level, some in groupby(levels, key=_BARS.get):
        beyond = at + len(list(some))
        if level is not None and beyond > 0:
            yield level, at, beyond
        at = beyond


def _draw(sheet: Sheet, bar: Bar, left: float, right: float, middle: float, column: float) -> None:
    if bar is Bar.FEW:
        x = right - column / 2
        while x > left:
            sheet.disc((x, middle), DOT, theme.QUIET)
            x -= column
        return
    thick = SECURE if bar is Bar.SECURE else LEARNING
    color = theme.BLUE if bar is Bar.SECURE else theme.QUIET
    sheet.panel(Rect(left, middle - thick / 2, right - left, thick), 0.0, color)
