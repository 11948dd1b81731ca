"""Summaries straight from attempts, in plain Python: what the record's running counts must agree with."""

from __future__ import annotations

from collections import Counter, defaultdict
from collections.abc import Iterable, Sequence
from datetime import date

from strokes.kinds import Kind
from trainer.attempt import Attempt, Pupil, Step
from trainer.record.mappers import day_of
from trainer.teaching.counts import Count, Counts, Day, Lately, Sight, Steadiness, Written
from trainer.teaching.gathering import FamiliesOf, no_families
from trainer.teaching.other_needs import LAST_INK, pause, wobble
from trainer.teaching.summary import Summary, summed_up
from trainer.teaching.tries import LATELY, counted, is_try, kinds


def summarize(
    attempts: Iterable[Attempt], pupils: Sequence[Pupil], families: FamiliesOf = no_families
) -> Summary:
    """Sum up the attempts of these pupils; those of others are left out, and order does not matter."""
    return summed_up(counts(attempts, pupils), pupils, families)


def counts(attempts: Iterable[Attempt], pupils: Sequence[Pupil]) -> Counts:
    """Every number a summary is made of."""
    numbers = {pupil.id for pupil in pupils}
    every = sorted(
        (attempt for attempt in attempts if attempt.pupil in numbers),
        key=lambda attempt: (attempt.at, attempt.id or 0),
    )
    by_letter: dict[tuple[int, str], list[Attempt]] = defaultdict(list)
    by_day: dict[tuple[int, str], list[Attempt]] = defaultdict(list)
    for attempt in every:
        by_letter[attempt.pupil, attempt.letter].append(attempt)
        by_day[attempt.pupil, day_of(attempt.at)].append(attempt)
    practiced = {attempt.pupil: attempt.at for attempt in every if attempt.finished}
    return Counts(
        tuple(_count(*key, written) for key, written in sorted(by_letter.items())),
        tuple(sight for key, written in sorted(by_letter.items()) for sight in _sights(*key, written)),
        tuple(_lately(*key, tries) for key, own in sorted(by_letter.items()) if (tries := _tries(own))),
        tuple(_day(*key, written) for key, written in sorted(by_day.items())),
        practiced,
        tuple(one_try for pupil in pupils for one_try in _last_ink(pupil.id, every)),
        tuple(_written(pupil, every) for pupil in pupils),
    )


def last_tries(attempts: Iterable[Attempt]) -> list[Attempt]:
    """Each pupil's last few tries at each letter."""
    by_letter: dict[tuple[int, str], list[Attempt]] = defaultdict(list)
    for attempt in sorted(_tries(list(attempts)), key=lambda attempt: (attempt.at, attempt.id or 0)):
        by_letter[attempt.pupil, attempt.letter].append(attempt)
    return [attempt for tries in by_letter.values() for attempt in tries[-LATELY:]]


def _last_ink(pupil: int, attempts: Sequence[Attempt]) -> Iterable[Steadiness]:
    """How the pen ran in the last tries of all letters, newest first."""
    own = [attempt for attempt in _tries(attempts) if attempt.pupil == pupil]
    for attempt in own[: -LAST_INK - 1 : -1]:
        if attempt.ink.traces:
            amounts = wobble(attempt.ink), pause(attempt.ink, attempt.shown)
            yield Steadiness(pupil, attempt.id or 0, attempt.letter, *amounts)


def _written(pupil: Pupil, attempts: Sequence[Attempt]) -> Written:
    own = {attempt.letter for attempt in attempts if attempt.pupil == pupil.id and attempt.finished}
    return Written(pupil.id, pupil.group, frozenset(own))


def _tries(written: Sequence[Attempt]) -> list[Attempt]:
    return [attempt for attempt in written if is_try(attempt)]


def _count(pupil: int, letter: str, written: Sequence[Attempt]) -> Count:
    tries, finished = _tries(written), [attempt for attempt in written if attempt.finished]
    recalled = [attempt for attempt in tries if attempt.step is Step.RECALL]
    return Count(
        pupil,
        letter,
        tries=len(tries),
        formed=sum(attempt.formed for attempt in tries),
        mended=sum(attempt.mended for attempt in tries),
        looks=sum(attempt.looks for attempt in tries),
        recalled=len(recalled),
        recalled_formed=sum(attempt.formed for attempt in recalled),
        traced=len(finished) - len(tries),
        broken=len(written) - len(finished),
        overruled=sum(attempt.overruled is not None for attempt in tries),
        in_words=sum(attempt.in_word is not None for attempt in tries),
        in_words_formed=sum(attempt.in_word is not None and attempt.formed for attempt in tries),
        first=min((attempt.at for attempt in finished), default=None),
        last=max((attempt.at for attempt in finished), default=None),
    )


def _sights(pupil: int, letter: str, written: Sequence[Attempt]) -> Iterable[Sight]:
    for note in (False, True):
        for kind in Kind:
            shown = [attempt for attempt in _tries(written) if kind in kinds(attempt, notes=note)]
            if shown:
                named = _instead(shown, note) if kind is Kind.LETTER else {}
                yield Sight(pupil, letter, kind, note, len(shown), shown[-1].at, named)


def _instead(tries: Sequence[Attempt], note: bool) -> dict[str, int]:
    named = [
        {
            finding.letter
            for finding in counted(attempt)
            if finding.kind is Kind.LETTER and finding.note is note
        }
        - {None}
        for attempt in tries
    ]
    return dict(Counter(letter for letters in named for letter in letters))


def _lately(pupil: int, letter: str, tries: Sequence[Attempt]) -> Lately:
    last = tries[-LATELY:]
    counts = Counter(kind for attempt in last for kind in kinds(attempt))
    shown = [attempt for attempt in last if Kind.LETTER in kinds(attempt)]
    formed = sum(attempt.formed for attempt in last)
    return Lately(pupil, letter, len(last), formed, dict(counts), _instead(shown, False))


def _day(pupil: int, day: str, written: Sequence[Attempt]) -> Day:
    tries = _tries(written)
    good = (sum(getattr(attempt, name) for attempt in tries) for name in ("formed", "mended", "looks"))
    return Day(pupil, date.fromisoformat(day), len(tries), *good)
