"""What became secure when: how each letter stood at the end of each week, for a child or for a class.

A letter is secure, being learned or not tried enough by the same rule as on Tomorrow: by the last tries up to
that day, however long ago they were. It stays as it was while nobody writes it.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from functools import cached_property
from typing import NamedTuple

from trainer.teaching.letter_sets import place_in
from trainer.teaching.mastery import ClassLetter, Level, level
from trainer.teaching.summary import monday
from trainer.teaching.tries import ENOUGH

TERM = 15
"""Weeks of a term with a break in it: what is shown unless other days are asked for."""

LONGEST_CHART = 26
"""Periods of one chart, at most: with more the columns are narrower than a date under them."""


class Period(NamedTuple):
    """Some weeks in a row, from their first day to their last, both among them; they may begin midweek."""

    first: date
    last: date


class PeriodTries(NamedTuple):
    """How one pupil wrote a letter by the end of a period in which it was tried.

    Of the last `tries`, `LATELY` at most, `formed` were well formed at the first try. `period` counts from
    0; -1 is all the time before.
    """

    pupil: int
    letter: str
    period: int
    tries: int
    formed: int


@dataclass(frozen=True)
class LetterOverTime:
    """A letter: how it stood before the first period, and at the end of each.

    `shares` says of a child how many of the last tries were well formed, as `good` and `of`; of a class with
    how many pupils the letter is secure, of those who tried it enough.
    """

    letter: str
    before: Level
    levels: tuple[Level, ...]
    shares: tuple[tuple[int, int], ...]

    @property
    def now(self) -> Level:
        """How it stands at the end of the last period."""
        return self.levels[-1]

    @cached_property
    def tried(self) -> int | None:
        """The first period at whose end there were tries; -1 for before, None for never."""
        return self._first(lambda stands: stands is not Level.NONE)

    @cached_property
    def secure_first(self) -> int | None:
        """The first period at whose end it was secure; -1 for before, None for never."""
        return self._first(lambda stands: stands is Level.MOSTLY)

    @cached_property
    def secure_since(self) -> int | None:
        """From which period on it was secure up to now; -1 for before all, None where it is not now."""
        since = None
        for period in range(len(self.levels) - 1, -1, -1):
            if self.levels[period] is not Level.MOSTLY:
                return since
            since = period
        return -1 if self.before is Level.MOSTLY else since

    def _first(self, wanted: Callable[[Level], bool]) -> int | None:
        every = enumerate((self.before, *self.levels), -1)
        return next((period for period, stands in every if wanted(stands)), None)


@dataclass(frozen=True)
class OverTime:
    """The periods, and in teaching order the letters that were tried up to the last of them."""

    periods: tuple[Period, ...]
    letters: tuple[LetterOverTime, ...]

    @property
    def weeks(self) -> int:
        """How many weeks a period has; the first and the last one may be cut short."""
        return max(((period.last - period.first).days // 7 + 1 for period in self.periods), default=1)


def periods(first: date, last: date) -> tuple[Period, ...]:
    """The weeks from one day to another, both among them; several weeks each where there are too many.

    None where `last` comes before `first`.
    """
    if last < first:
        return ()
    start, weeks = monday(first), (monday(last) - monday(first)).days // 7 + 1
    span = -(-weeks // LONGEST_CHART)
    starts = [start + timedelta(weeks=week) for week in range(0, weeks, span)]
    ends = [following - timedelta(days=1) for following in starts[1:]]
    return tuple(map(Period, [first, *starts[1:]], [*ends, last]))


def letters_over_time(
    period_tries: Iterable[PeriodTries],
    every: Sequence[Period],
    order: Sequence[str] = (),
    *,
    pupils: int | None = None,
) -> OverTime:
    """The letters over these periods: of one child, or with `pupils` of a class of so many.

    `order` is the teaching order; letters without a place in it come after it, by name.
    """
    by_letter: dict[str, dict[int, dict[int, PeriodTries]]] = defaultdict(lambda: defaultdict(dict))
    for tried in period_tries:
        by_letter[tried.letter][tried.pupil][tried.period] = tried
    letters = []
    for letter in sorted(by_letter, key=place_in(order)):
        histories = [_carried(own, len(every)) for own in by_letter[letter].values()]
        ends = [
            _of_child(at_end) if pupils is None else _of_class(letter, at_end, pupils)
            for at_end in zip(*histories, strict=True)
        ]
        levels = tuple(stands for stands, _ in ends)
        letters.append(LetterOverTime(letter, levels[0], levels[1:], tuple(share for _, share in ends[1:])))
    return OverTime(tuple(every), tuple(letters))


def _carried(own: Mapping[int, PeriodTries], count: int) -> list[tuple[int, int]]:
    """The last tries, well formed ones and all, before the first period and at the end of each."""
    ends, last = [], (0, 0)
    for period in range(-1, count):
        if period in own:
            last = own[period].formed, own[period].tries
        ends.append(last)
    return ends


def _of_child(at_end: Sequence[tuple[int, int]]) -> tuple[Level, tuple[int, int]]:
    (share,) = at_end
    return level(*share), share


def _of_class(letter: str, at_end: Sequence[tuple[int, int]], pupils: int) -> tuple[Level, tuple[int, int]]:
    secure = sum(level(formed, tries) is Level.MOSTLY for formed, tries in at_end)
    enough = sum(tries >= ENOUGH for _, tries in at_end)
    few = sum(0 < tries < ENOUGH for _, tries in at_end)
    return ClassLetter(letter, pupils, secure, enough, few).level, (secure, enough)
