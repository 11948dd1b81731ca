"""A class counted once more, from its ink: nothing here uses what the record and the desk count with.

Each ink is judged anew, as a judge is no counter; the rules of counting stand here a second time, in plain
loops.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass, field
from datetime import date, datetime, timedelta
from math import sqrt

from strokes.kinds import Kind
from tests.shipped import PRINT
from trainer.attempt import Attempt, Observation, Pupil, Step
from trainer.judging import Judge, Judged
from trainer.record.record import Record

HOW_IT_LOOKS = {Kind.CLOSURE, Kind.SHAPE, Kind.SIZE, Kind.PLACE}
MOVEMENT = set(Kind) - HOW_IT_LOOKS - {Kind.LETTER, Kind.REVERSAL}


@dataclass(frozen=True)
class Try:
    """One try by copy or from memory, by the teacher's word where she gave one."""

    number: int
    at: datetime
    from_memory: bool
    formed: bool
    mended: bool
    looks: bool
    kinds: frozenset[Kind]
    notes: frozenset[Kind]
    instead: frozenset[str]
    in_word: bool

    @property
    def day(self) -> date:
        """On the calendar of this place."""
        return self.at.astimezone().date()


@dataclass
class Letter:
    """What one pupil did at one letter, the oldest try first."""

    tries: list[Try] = field(default_factory=list)
    traced: int = 0
    broken: list[datetime] = field(default_factory=list)
    finished: list[datetime] = field(default_factory=list)

    @property
    def last(self) -> list[Try]:
        """The tries that say how it is written now."""
        return self.tries[-5:]

    @property
    def secure(self) -> bool:
        """Four of five of the last tries, and three at least."""
        return is_secure(self.last)

    @property
    def need(self) -> tuple[Kind, int, int] | None:
        """What should be taught: in how many of how many last tries it was seen."""
        if len(self.tries) < 3:
            return None
        seen = Counter(kind for one_try in self.last for kind in one_try.kinds)
        often = [kind for kind in Kind if seen[kind] >= 2 and 2 * seen[kind] >= len(self.last)]
        # another letter, then movements, then looks; what was seen most; the order of teaching
        often.sort(key=lambda kind: (kind is not Kind.LETTER, kind not in MOVEMENT, -seen[kind]))
        return (often[0], seen[often[0]], len(self.last)) if often else None


def is_secure(tries: Sequence[Try]) -> bool:
    """Whether these last tries make a letter secure."""
    return len(tries) >= 3 and 5 * sum(one_try.formed for one_try in tries) >= 4 * len(tries)


def likely(good: int, tries: int) -> tuple[float, float]:
    """Wilson 1927, the score interval at 95 %, written out from memory as the roots of its quadratic."""
    z, share = 1.959964, good / tries
    middle = share + z * z / (2 * tries)
    reach = z * sqrt(share * (1 - share) / tries + z * z / (4 * tries * tries))
    whole = 1 + z * z / tries
    return (middle - reach) / whole, (middle + reach) / whole


@dataclass
class Recount:
    """A record counted once more.

    `letters` are by pupil and letter; `overruled` are the tries of each pupil in which the teacher's word
    counts, and `words` all that she said otherwise, of traced letters too.
    """

    pupils: tuple[Pupil, ...]
    letters: dict[int, dict[str, Letter]]
    observations: list[Observation]
    overruled: Counter[int]
    words: Counter[int]

    @classmethod
    def of(cls, record: Record, judged: dict[tuple[object, ...], Judged]) -> Recount:
        """Every attempt with ink is judged again; `judged` remembers ink that was judged before."""
        letters: dict[int, dict[str, Letter]] = {}
        overruled, words = Counter[int](), Counter[int]()
        every = record.pupils.find()
        attempts = sorted(record.attempts.find(), key=lambda attempt: (attempt.at, attempt.id or 0))
        for attempt in attempts:
            own = letters.setdefault(attempt.pupil, {}).setdefault(attempt.letter, Letter())
            if not attempt.finished:
                own.broken.append(attempt.at)
                continue
            own.finished.append(attempt.at)
            words[attempt.pupil] += attempt.overruled is not None
            if attempt.step in (Step.COPY, Step.RECALL):
                own.tries.append(_try(attempt, judged))
                overruled[attempt.pupil] += attempt.overruled is not None
            else:
                own.traced += 1
        observations = record.observations.find([pupil.id for pupil in every])
        return cls(every, letters, list(observations), overruled, words)

    def of_group(self, group: str | None) -> list[Pupil]:
        """The pupils of a group, or all."""
        return [pupil for pupil in self.pupils if group in (None, pupil.group)]

    def of_pupil(self, pupil: Pupil) -> dict[str, Letter]:
        """The letters that a pupil finished at least once."""
        return {name: own for name, own in self.letters.get(pupil.id, {}).items() if own.finished}

    def every(self, pupils: Sequence[Pupil]) -> list[Letter]:
        """What these pupils did, letter by letter."""
        return [own for pupil in pupils for own in self.letters.get(pupil.id, {}).values()]

    def tries(self, pupils: Sequence[Pupil], letter: str) -> list[list[Try]]:
        """The tries of each of these pupils who tried a letter."""
        own = [self.letters.get(pupil.id, {}).get(letter, Letter()).tries for pupil in pupils]
        return [tries for tries in own if tries]

    def secure_of(self, pupils: Sequence[Pupil], letter: str) -> tuple[int, int]:
        """With how many pupils a letter is secure, and how many tried it often enough to say so."""
        enough = [tries for tries in self.tries(pupils, letter) if len(tries) >= 3]
        return sum(is_secure(tries[-5:]) for tries in enough), len(enough)

    def never(self, pupil: Pupil) -> list[str]:
        """Letters that most of the group wrote at least once, two at least, and this pupil never.

        Those that were seen on paper are written as well.
        """
        own = {member.id: set(self.of_pupil(member)) for member in self.of_group(pupil.group)}
        for seen in self.observations:
            if seen.pupil in own:
                own[seen.pupil].add(seen.letter)
        if not own[pupil.id]:
            return []
        writing = [letters for letters in own.values() if letters]
        times = Counter(letter for letters in writing for letter in letters)
        by_most = {letter for letter, count in times.items() if count >= 2 and 2 * count >= len(writing)}
        return [letter for letter in PRINT if letter in by_most - own[pupil.id]]


def _try(attempt: Attempt, judged: dict[tuple[object, ...], Judged]) -> Try:
    """A try as it counts: its ink judged anew, or the teacher's word in place of that."""
    points = tuple(trace.points.tobytes() for trace in attempt.ink.traces)
    key = (attempt.letter, attempt.step, attempt.shown, points)
    if key not in judged:
        judged[key] = Judge(PRINT).judge(attempt.letter, attempt.ink, attempt.step, attempt.shown)
    report, word = judged[key].report, attempt.overruled
    formed, looks = (word.formed, word.looks) if word else (report.well_formed, report.looks_right)
    kinds = {finding.kind for finding in report.findings if not finding.note}
    if word and word.formed:
        kinds -= MOVEMENT | {Kind.LETTER, Kind.REVERSAL}
    if word and word.looks:
        kinds -= HOW_IT_LOOKS | {Kind.LETTER, Kind.REVERSAL}
    instead = {finding.letter for finding in report.findings if finding.kind in kinds & {Kind.LETTER}}
    return Try(
        attempt.id or 0,
        attempt.at,
        attempt.step is Step.RECALL,
        formed,
        judged[key].mended and word is None,
        looks,
        frozenset(kinds),
        frozenset(finding.kind for finding in report.findings if finding.note),
        frozenset(filter(None, instead)),
        attempt.in_word is not None,
    )


def mondays(first: date, last: date) -> list[date]:
    """The Mondays of the weeks from one day to another."""
    start = first - timedelta(days=first.weekday())
    return [start + timedelta(weeks=week) for week in range((last - start).days // 7 + 1)]
