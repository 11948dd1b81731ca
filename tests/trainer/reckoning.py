"""Summaries straight from attempts, in plain Python: what the record's running counts must agree with."""

from __future__ import annotations

from collections import Counter, defaultdict
from collections.abc import Iterable, Sequence
from datetime import date

from strokes.kinds import Kind
from strokes.letter import Family
from trainer.attempt import Attempt, Pupil, Step
from trainer.record.mappers import day_of
from trainer.teaching.counts import Count, Counts, Day, Lately, Sight
from trainer.teaching.summary import Summary, summed_up
from trainer.teaching.tries import LATELY, counted, is_try, kinds


def summarize(
    attempts: Iterable[Attempt], pupils: Sequence[Pupil], families: Sequence[Family] = ()
) -> Summary:
    """Sum up the attempts of these pupils; those of others are left out, and order does not matter."""
    return summed_up(counts(attempts, pupils), pupils, families)


def counts(attempts: Iterable[Attempt], pupils: Sequence[Pupil]) -> Counts:
    """Every number a summary is made of."""
    numbers = {pupil.id for pupil in pupils}
    every = sorted(
        (kept for kept in attempts if kept.pupil in numbers), key=lambda kept: (kept.at, kept.id or 0)
    )
    by_letter: dict[tuple[int, str], list[Attempt]] = defaultdict(list)
    by_day: dict[tuple[int, str], list[Attempt]] = defaultdict(list)
    for kept in every:
        by_letter[kept.pupil, kept.letter].append(kept)
        by_day[kept.pupil, day_of(kept.at)].append(kept)
    practiced = {kept.pupil: kept.at for kept in every if kept.finished}
    return Counts(
        tuple(_count(*key, written) for key, written in sorted(by_letter.items())),
        tuple(sight for key, written in sorted(by_letter.items()) for sight in _sights(*key, written)),
        tuple(_lately(*key, tries) for key, own in sorted(by_letter.items()) if (tries := _tries(own))),
        tuple(_day(*key, written) for key, written in sorted(by_day.items())),
        practiced,
    )


def _tries(written: Sequence[Attempt]) -> list[Attempt]:
    return [kept for kept in written if is_try(kept)]


def _count(pupil: int, letter: str, written: Sequence[Attempt]) -> Count:
    tries, finished = _tries(written), [kept for kept in written if kept.finished]
    recalled = [kept for kept in tries if kept.step is Step.RECALL]
    return Count(
        pupil,
        letter,
        tries=len(tries),
        formed=sum(kept.formed for kept in tries),
        mended=sum(kept.mended for kept in tries),
        looks=sum(kept.looks for kept in tries),
        recalled=len(recalled),
        recalled_formed=sum(kept.formed for kept in recalled),
        traced=len(finished) - len(tries),
        broken=len(written) - len(finished),
        overruled=sum(kept.overruled is not None for kept in tries),
        first=min((kept.at for kept in finished), default=None),
        last=max((kept.at for kept in finished), default=None),
    )


def _sights(pupil: int, letter: str, written: Sequence[Attempt]) -> Iterable[Sight]:
    for note in (False, True):
        for kind in Kind:
            shown = [kept for kept in _tries(written) if kind in kinds(kept, notes=note)]
            if shown:
                named = _instead(shown, note) if kind is Kind.LETTER else {}
                yield Sight(pupil, letter, kind, note, len(shown), shown[-1].at, named)


def _instead(tries: Sequence[Attempt], note: bool) -> dict[str, int]:
    named = [
        {one.letter for one in counted(kept) if one.kind is Kind.LETTER and one.note is note} - {None}
        for kept in tries
    ]
    return dict(Counter(letter for letters in named for letter in letters))


def _lately(pupil: int, letter: str, tries: Sequence[Attempt]) -> Lately:
    last = tries[-LATELY:]
    seen = Counter(kind for kept in last for kind in kinds(kept))
    shown = [kept for kept in last if Kind.LETTER in kinds(kept)]
    formed = sum(kept.formed for kept in last)
    return Lately(pupil, letter, len(last), formed, dict(seen), _instead(shown, False))


def _day(pupil: int, day: str, written: Sequence[Attempt]) -> Day:
    tries = _tries(written)
    good = (sum(getattr(kept, name) for kept in tries) for name in ("formed", "mended", "looks"))
    return Day(pupil, date.fromisoformat(day), len(tries), *good)
