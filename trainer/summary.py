"""Attempts into a teacher's figures: what was seen at each letter, and whom to gather next; no words."""

from __future__ import annotations

from collections import Counter, defaultdict
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from datetime import date, datetime, timedelta
from math import sqrt

from strokes.report import Kind
from trainer.attempt import Attempt, Pupil, Step
from trainer.gathering import Gathering, gathered
from trainer.tries import ENOUGH, instead, is_try, kinds, last_tries

_Z = 1.959963984540054  # the 97.5% point of the normal distribution, for an interval of 95%


def wilson(good: int, tries: int) -> tuple[float, float]:
    """The 95% interval for a share of which `good` of `tries` were seen (Wilson 1927); 0 to 1 for no tries.

    It takes tries as independent. Those of one child are not quite, so read a class's interval as
    rather too narrow.
    """
    if tries == 0:
        return 0.0, 1.0
    share, z2 = good / tries, _Z * _Z / tries
    middle = (share + z2 / 2) / (1 + z2)
    reach = sqrt(z2 * share * (1 - share) + z2 * z2 / 4) / (1 + z2)
    return max(0.0, middle - reach), min(1.0, middle + reach)


@dataclass(frozen=True)
class Seen:
    """One kind of finding at one letter: in how many tries, when last, and in whose, most often first.

    `instead` are the letters that were written in place of it, for the kind letter.
    """

    kind: Kind
    tries: int
    last: datetime
    pupils: tuple[int, ...]
    instead: tuple[str, ...] = ()


@dataclass(frozen=True)
class Line:
    """One letter: its tries (copy and recall together), and those from memory, of late, and traced apart."""

    letter: str
    tries: int
    formed: int
    looks: int
    recalled: int
    recalled_formed: int
    lately: int
    lately_formed: int
    traced: int
    first: datetime
    last: datetime
    seen: tuple[Seen, ...]
    noted: tuple[Seen, ...]

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
    looks: int


@dataclass(frozen=True)
class Summary:
    """The figures of a class or of one pupil.

    `lines` has the letters in alphabetical order and `by_pupil` the same for each pupil by id.
    `gather` are groups to teach, the most needed first; `alone` are those with nobody to share with.
    `broken` attempts were not finished and are counted nowhere else; `overruled` tries are counted by
    the teacher's verdict. `trend` has every week from the first to the last one with a try, `trends` the
    same weeks for each pupil by id. `last_practiced` is each pupil's last finished attempt, traced ones
    among them, whatever the days that are asked for.
    """

    pupils: tuple[Pupil, ...]
    tries: int
    traced: int
    broken: int
    first: datetime | None
    last: datetime | None
    lines: tuple[Line, ...]
    by_pupil: Mapping[int, tuple[Line, ...]]
    gather: tuple[Gathering, ...]
    alone: tuple[Gathering, ...]
    overruled: int = 0
    trend: tuple[Week, ...] = ()
    trends: Mapping[int, tuple[Week, ...]] = field(default_factory=dict)
    last_practiced: Mapping[int, datetime | None] = field(default_factory=dict)


def summarize(attempts: Iterable[Attempt], pupils: Sequence[Pupil]) -> Summary:
    """Sum up the attempts of these pupils; those of others are left out, and order does not matter."""
    numbers = {pupil.id for pupil in pupils}
    every = sorted((kept for kept in attempts if kept.pupil in numbers), key=lambda kept: kept.at)
    finished = [kept for kept in every if kept.finished and kept.verdict]
    by_pupil = {pupil.id: _lines([kept for kept in finished if kept.pupil == pupil.id]) for pupil in pupils}
    tries = [kept for kept in finished if is_try(kept)]
    gather, alone = gathered(tries, pupils)
    return Summary(
        tuple(pupils),
        len(tries),
        len(finished) - len(tries),
        len(every) - len(finished),
        finished[0].at if finished else None,
        finished[-1].at if finished else None,
        _lines(finished),
        by_pupil,
        gather,
        alone,
        sum(kept.overruled is not None for kept in tries),
        *_trends(tries, pupils),
        {pupil.id: _last(kept for kept in finished if kept.pupil == pupil.id) for pupil in pupils},
    )


def _last(attempts: Iterable[Attempt]) -> datetime | None:
    return max((kept.at for kept in attempts), default=None)


def _trends(
    tries: Sequence[Attempt], pupils: Sequence[Pupil]
) -> tuple[tuple[Week, ...], dict[int, tuple[Week, ...]]]:
    mondays = [monday(kept.at.astimezone().date()) for kept in tries]
    if not tries:
        return (), {pupil.id: () for pupil in pupils}
    weeks = [min(mondays) + timedelta(weeks=k) for k in range((max(mondays) - min(mondays)).days // 7 + 1)]

    def trend(pupil: int | None) -> tuple[Week, ...]:
        counts = {week: [0, 0, 0] for week in weeks}
        for kept, week in zip(tries, mondays, strict=True):
            if pupil in (None, kept.pupil):
                for place, count in enumerate((1, kept.formed, kept.looks)):
                    counts[week][place] += count
        return tuple(Week(week, *counts[week]) for week in weeks)

    return trend(None), {pupil.id: trend(pupil.id) for pupil in pupils}


def monday(day: date) -> date:
    """The Monday of a day's week."""
    return day - timedelta(days=day.weekday())


def _lines(attempts: Sequence[Attempt]) -> tuple[Line, ...]:
    letters = defaultdict(list)
    for kept in attempts:
        letters[kept.letter].append(kept)
    return tuple(_line(letter, letters[letter]) for letter in sorted(letters))


def _line(letter: str, attempts: Sequence[Attempt]) -> Line:
    tries = [kept for kept in attempts if is_try(kept)]
    recalled = [kept for kept in tries if kept.step is Step.RECALL]
    lately = [kept for last in last_tries(tries).values() for kept in last]
    return Line(
        letter=letter,
        tries=len(tries),
        formed=_formed(tries),
        looks=sum(kept.looks for kept in tries),
        recalled=len(recalled),
        recalled_formed=_formed(recalled),
        lately=len(lately),
        lately_formed=_formed(lately),
        traced=len(attempts) - len(tries),
        first=attempts[0].at,
        last=attempts[-1].at,
        seen=_seen(tries, notes=False),
        noted=_seen(tries, notes=True),
    )


def _formed(attempts: Iterable[Attempt]) -> int:
    return sum(kept.formed for kept in attempts)


def _seen(tries: Sequence[Attempt], *, notes: bool) -> tuple[Seen, ...]:
    """The kinds seen, most often first; a kind counts once a try, however often it was found in it."""
    with_kind = defaultdict(list)
    for kept in tries:
        for kind in kinds(kept, notes=notes):
            with_kind[kind].append(kept)
    seen = [
        Seen(
            kind,
            len(shown),
            shown[-1].at,
            tuple(pupil for pupil, _ in Counter(kept.pupil for kept in shown).most_common()),
            instead(shown) if kind is Kind.LETTER else (),
        )
        for kind, shown in with_kind.items()
    ]
    return tuple(sorted(seen, key=lambda one: (-one.tries, tuple(Kind).index(one.kind))))
