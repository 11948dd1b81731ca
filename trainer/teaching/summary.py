"""A teacher's figures: what was seen at each letter, and whom to gather next; made of counts, no words."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date, datetime, timedelta
from typing import NamedTuple

from strokes.intervals import wilson
from strokes.kinds import Kind
from trainer.attempt import Pupil
from trainer.teaching.counts import Count, Counts, Day, Lately, Sight
from trainer.teaching.gathering import FamiliesOf, Gathering, gathered, most_often, no_families
from trainer.teaching.group_assignment import Need
from trainer.teaching.letter_sets import place_in
from trainer.teaching.other_needs import OtherNeed, other_needs
from trainer.teaching.tries import ENOUGH

_PLACES = {kind: place for place, kind in enumerate(Kind)}


class FindingFigures(NamedTuple):
    """One kind of finding at one letter: in how many tries, when last, and in whose, most often first.

    `instead` are the letters that were written in place of it, for the kind letter.
    """

    kind: Kind
    tries: int
    last: datetime
    pupils: tuple[int, ...]
    instead: tuple[str, ...] = ()


@dataclass(frozen=True)
class LetterFigures:
    """One letter: its tries (copy and recall together), and those from memory, of late, and traced apart.

    Tries `in_words` are among them, and those at the letter alone are the others.

    `sights` are what was found in them, pupil by pupil. There are thousands, and most pages look at few.
    """

    letter: str
    tries: int
    formed: int
    mended: int
    looks: int
    recalled: int
    recalled_formed: int
    lately: int
    lately_formed: int
    traced: int
    in_words: int
    in_words_formed: int
    first: datetime
    last: datetime
    sights: tuple[Sight, ...]

    @property
    def findings(self) -> tuple[FindingFigures, ...]:
        """What was found, most often first, then in teaching order."""
        return _figures([sight for sight in self.sights if not sight.note])

    @property
    def noted(self) -> tuple[FindingFigures, ...]:
        """What was noted and is no finding, likewise."""
        return _figures([sight for sight in self.sights if sight.note])

    @property
    def alone(self) -> tuple[int, int]:
        """How many of the tries at the letter alone were well formed, and how many there were."""
        return self.formed - self.in_words_formed, self.tries - self.in_words

    @property
    def enough(self) -> bool:
        """Whether there are tries enough to say anything."""
        return self.tries >= ENOUGH

    @property
    def likely(self) -> tuple[float, float]:
        """Where the share of well formed letters lies, by Wilson's interval."""
        return wilson(self.formed, self.tries)


@dataclass(frozen=True)
class Week:
    """The tries of one week, which starts on a Monday."""

    start: date
    tries: int
    formed: int
    mended: int
    looks: int


@dataclass(frozen=True)
class Summary:
    """The figures of a class or of one pupil.

    `lines` has the letters in teaching order, set by set, and `by_pupil` the same for each pupil by id.
    `gather` are groups to teach, the most needed first; `alone` are needs with nobody to share them with;
    `waiting` are the other needs, which are for another day. `other` are needs that are not about one
    movement, whatever the days that are asked for.
    `broken` attempts were not finished and are counted nowhere else; `overruled` tries are counted by
    the teacher's verdict. `trend` has every week from the first to the last one with a try, `trends` the
    same weeks for each pupil by id. `last_practiced` is each pupil's last finished attempt, traced ones
    among them, whatever the days that are asked for.
    """

    pupils: tuple[Pupil, ...]
    tries: int
    traced: int
    broken: int
    overruled: int
    first: datetime | None
    last: datetime | None
    lines: tuple[LetterFigures, ...]
    by_pupil: Mapping[int, tuple[LetterFigures, ...]]
    gather: tuple[Gathering, ...]
    alone: tuple[Need, ...]
    waiting: tuple[Need, ...]
    other: tuple[OtherNeed, ...]
    trend: tuple[Week, ...]
    trends: Mapping[int, tuple[Week, ...]]
    last_practiced: Mapping[int, datetime | None]


def summed_up(
    counts: Counts, pupils: Sequence[Pupil], families: FamiliesOf = no_families, order: Sequence[str] = ()
) -> Summary:
    """The summary of these pupils, whose counts are given; `families` let letters share a group to gather.

    `order` is the teaching order; letters that have no place in it come after it, by name.
    """
    lines = _Lines(counts, order)
    every = counts.counts
    needs = gathered(counts.lately, pupils, families)
    trends = _Trends(counts.days)
    return Summary(
        tuple(pupils),
        sum(count.tries for count in every),
        sum(count.traced for count in every),
        sum(count.broken for count in every),
        sum(count.overruled for count in every),
        min((count.first for count in every if count.first), default=None),
        max((count.last for count in every if count.last), default=None),
        lines.of(None),
        {pupil.id: lines.of(pupil.id) for pupil in pupils},
        needs.groups,
        needs.alone,
        needs.waiting,
        other_needs(counts.last, counts.written, pupils, order),
        trends.of(None),
        {pupil.id: trends.of(pupil.id) for pupil in pupils},
        {pupil.id: counts.practiced.get(pupil.id) for pupil in pupils},
    )


class _Lines:
    """The lines of all pupils together (pupil None) and of each, from the counts put in order once."""

    def __init__(self, counts: Counts, order: Sequence[str]) -> None:
        self._place = place_in(order)
        self._counts: dict[int | None, dict[str, list[Count]]] = defaultdict(lambda: defaultdict(list))
        self._sights: dict[tuple[int | None, str], list[Sight]] = defaultdict(list)
        self._lately: dict[tuple[int | None, str], list[Lately]] = defaultdict(list)
        for count in counts.counts:
            for whose in (None, count.pupil):
                self._counts[whose][count.letter].append(count)
        for sight in sorted(counts.sights):
            self._sights[None, sight.letter].append(sight)
            self._sights[sight.pupil, sight.letter].append(sight)
        for lately in counts.lately:
            for whose in (None, lately.pupil):
                self._lately[whose, lately.letter].append(lately)

    def of(self, pupil: int | None) -> tuple[LetterFigures, ...]:
        """The lines by letter; a letter that was never finished has none."""
        counts = self._counts[pupil]
        figures = (self._line(pupil, letter, counts[letter]) for letter in sorted(counts, key=self._place))
        return tuple(line for line in figures if line is not None)

    def _line(self, pupil: int | None, letter: str, counts: Sequence[Count]) -> LetterFigures | None:
        first = min((count.first for count in counts if count.first), default=None)
        last = max((count.last for count in counts if count.last), default=None)
        if first is None or last is None:
            return None
        lately = self._lately[pupil, letter]
        return LetterFigures(
            letter=letter,
            tries=sum(count.tries for count in counts),
            formed=sum(count.formed for count in counts),
            mended=sum(count.mended for count in counts),
            looks=sum(count.looks for count in counts),
            recalled=sum(count.recalled for count in counts),
            recalled_formed=sum(count.recalled_formed for count in counts),
            lately=sum(recent.tries for recent in lately),
            lately_formed=sum(recent.formed for recent in lately),
            traced=sum(count.traced for count in counts),
            in_words=sum(count.in_words for count in counts),
            in_words_formed=sum(count.in_words_formed for count in counts),
            first=first,
            last=last,
            sights=tuple(self._sights[pupil, letter]),
        )


def _figures(sights: Sequence[Sight]) -> tuple[FindingFigures, ...]:
    by_kind: dict[Kind, list[Sight]] = {}
    for sight in sights:
        by_kind.setdefault(sight.kind, []).append(sight)
    figures = [_together(kind, shown) for kind, shown in by_kind.items()]
    return tuple(sorted(figures, key=_often))


def _together(kind: Kind, shown: Sequence[Sight]) -> FindingFigures:
    pupils = sorted(shown, key=lambda sight: (-sight.tries, sight.pupil))
    return FindingFigures(
        kind,
        sum(sight.tries for sight in shown),
        max(sight.last for sight in shown),
        tuple(sight.pupil for sight in pupils),
        most_often(sight.instead for sight in shown),
    )


def _often(figures: FindingFigures) -> tuple[int, int]:
    return -figures.tries, _PLACES[figures.kind]


def trend(days: Iterable[Day]) -> tuple[Week, ...]:
    """The weeks of all pupils together, from the first to the last one with a try."""
    return _Trends(days).of(None)


def monday(day: date) -> date:
    """The Monday of a day's week."""
    return day - timedelta(days=day.weekday())


class _Trends:
    """The tries of all pupils together (pupil None) and of each, week by week, with empty weeks between."""

    def __init__(self, days: Iterable[Day]) -> None:
        mondays: dict[date, date] = {}
        self._counts: dict[tuple[int | None, date], list[int]] = defaultdict(lambda: [0] * 4)
        for pupil, day, *numbers in days:
            if not numbers[0]:
                continue
            week = mondays.get(day) or mondays.setdefault(day, monday(day))
            for count in (self._counts[None, week], self._counts[pupil, week]):
                for place, number in enumerate(numbers):
                    count[place] += number
        starts = mondays.values()
        first, last = min(starts, default=date.max), max(starts, default=date.min)
        self._weeks = [first + timedelta(weeks=week) for week in range((last - first).days // 7 + 1)]

    def of(self, pupil: int | None) -> tuple[Week, ...]:
        """Every week from the first to the last one with a try by anybody."""
        return tuple(Week(week, *self._counts.get((pupil, week), (0, 0, 0, 0))) for week in self._weeks)
