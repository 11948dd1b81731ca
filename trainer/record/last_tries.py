"""What the last few tries of each pupil at each letter showed: looked up one by one, whatever came before."""

from __future__ import annotations

from collections import Counter, defaultdict
from collections.abc import Callable, Iterable, Iterator, Sequence
from contextlib import suppress
from typing import Any

from sqlalchemy import (
    ColumnElement,
    Connection,
    FromClause,
    Join,
    Select,
    Subquery,
    and_,
    case,
    func,
    select,
    text,
)

from strokes.kinds import Kind
from trainer.attempt import Step
from trainer.ink_codec import unpack
from trainer.record import mappers, tables
from trainer.record.counters import EVERY_LETTER, formed, looks, mended, of_every_day, stands
from trainer.record.day_span import Days, between
from trainer.record.tables import attempt, counter, finding, overruling
from trainer.teaching import (
    LAST_INK,
    LATELY,
    Count,
    Counts,
    Lately,
    Period,
    PeriodTries,
    Sight,
    Steadiness,
    other_needs,
)

_TRY = text("recent.finished AND recent.step IN ('copy', 'recall')")
"""`counters.is_try`, word for word as in the index `attempt_try`: else SQLite does not see that it serves."""

_WRITTEN = counter.alias("written")
"""The letters that each pupil wrote."""

_SUBJECT = (attempt.c.pupil, attempt.c.letter)


def lately(connection: Connection, pupils: Sequence[int], days: Days | None) -> Iterator[Lately]:
    """The last tries of these days as what they need: each try is a row for each of its findings."""
    shown = and_(finding.c.attempt == attempt.c.id, finding.c.note.is_(False), stands)
    columns = (
        attempt.c.pupil,
        attempt.c.letter,
        attempt.c.id,
        formed,
        finding.c.kind,
        finding.c.other_letter,
    )
    query = select(*columns).select_from(_last_tries(connection, days).outerjoin(finding, shown))
    tries: dict[tuple[int, str], dict[int, bool]] = defaultdict(dict)
    findings: dict[tuple[int, str], set[Any]] = defaultdict(set)
    for pupil, letter, number, well_formed, kind, other in connection.execute(_of(query, pupils)):
        tries[pupil, letter][number] = well_formed
        if kind is not None:
            findings[pupil, letter].add((number, kind, other))
    for (pupil, letter), outcomes in tries.items():
        kinds, instead = _frequencies(findings[pupil, letter])
        yield Lately(pupil, letter, len(outcomes), sum(outcomes.values()), kinds, instead)


def counted(connection: Connection, pupils: Sequence[int]) -> Counts:
    """The last tries counted as if there were no others; traced and broken off attempts are none."""
    last = _last_tries(connection, None)
    outcomes = (
        *(formed, mended, looks),
        *(overruling.c.attempt.is_not(None), attempt.c.word.is_not(None)),
    )
    query = select(*_SUBJECT, attempt.c.at, attempt.c.step, *outcomes).select_from(last)
    tries: dict[tuple[int, str], list[Sequence[Any]]] = defaultdict(list)
    for pupil, letter, *one_try in connection.execute(_of(query, pupils)):
        tries[pupil, letter].append(one_try)
    seen = select(
        *_SUBJECT, finding.c.kind, finding.c.note, attempt.c.at, attempt.c.id, finding.c.other_letter
    )
    seen = seen.select_from(last.join(finding, finding.c.attempt == attempt.c.id)).where(stands)
    findings: dict[tuple[int, str, str, bool], list[Sequence[Any]]] = defaultdict(list)
    for pupil, letter, kind, note, *where in connection.execute(_of(seen, pupils)):
        findings[pupil, letter, kind, note].append(where)
    return Counts(
        tuple(_count(*key, own) for key, own in sorted(tries.items())),
        tuple(_sight(*key, own) for key, own in sorted(findings.items())),
        tuple(lately(connection, pupils, None)),
    )


def _count(pupil: int, letter: str, tries: Sequence[Sequence[Any]]) -> Count:
    times, steps, *outcomes = zip(*tries, strict=True)
    well_formed, written_again, right, overruled, in_words = (
        [bool(value) for value in values] for values in outcomes
    )
    recalled = [good for step, good in zip(steps, well_formed, strict=True) if step == Step.RECALL.value]
    return Count(
        pupil,
        letter,
        tries=len(tries),
        formed=sum(well_formed),
        mended=sum(written_again),
        looks=sum(right),
        recalled=len(recalled),
        recalled_formed=sum(recalled),
        traced=0,
        broken=0,
        overruled=sum(overruled),
        in_words=sum(in_words),
        in_words_formed=sum(part and good for part, good in zip(in_words, well_formed, strict=True)),
        first=mappers.moment(min(times)),
        last=mappers.moment(max(times)),
    )


def _sight(pupil: int, letter: str, kind: str, note: bool, rows: Sequence[Sequence[Any]]) -> Sight:
    """One kind at one letter; it counts once a try, and so does each letter that was written instead."""
    tries = {number for _, number, _ in rows}
    instead = Counter(
        other for _, other in {(number, other) for _, number, other in rows} if other is not None
    )
    named = dict(instead) if kind == Kind.LETTER.value else {}
    last = mappers.moment(max(at for at, _, _ in rows))
    return Sight(pupil, letter, Kind(kind), bool(note), len(tries), last, named)


def _frequencies(findings: Iterable[tuple[int, str, str | None]]) -> tuple[Counter[Kind], Counter[str]]:
    """A kind counts once a try, and so does each letter that was written instead."""
    kinds = Counter(Kind(kind) for _, kind in {(number, kind) for number, kind, _ in findings})
    return kinds, Counter(other for _, kind, other in findings if other is not None and kind == Kind.LETTER)


def _of(query: Select[Any], pupils: Sequence[int]) -> Select[Any]:
    return query.where(_WRITTEN.c.pupil.in_(pupils), of_every_day(_WRITTEN), _WRITTEN.c.tries > 0)


def steadiness(connection: Connection, pupils: Sequence[int]) -> Iterator[Steadiness]:
    """How the pen ran in each pupil's last tries of all letters, newest first, as far as their ink is there.

    Ink that cannot be read is passed over.
    """
    recent, pupil = attempt.alias("recent"), tables.pupil
    own = select(recent.c.id).where(recent.c.pupil == pupil.c.id, _TRY).correlate(pupil)
    tries = pupil.join(attempt, _among(connection, _newest(own, recent).limit(LAST_INK)))
    query = select(attempt.c.pupil, attempt.c.id, attempt.c.letter, attempt.c.ink).select_from(tries)
    written = query.where(pupil.c.id.in_(pupils), attempt.c.ink.is_not(None))
    for whose, number, letter, encoded in connection.execute(_newest(written, attempt)):
        with suppress(ValueError):
            ink, shown = unpack(encoded)
            yield Steadiness(whose, number, letter, other_needs.wobble(ink), other_needs.pause(ink, shown))


def period_tries(
    connection: Connection, pupils: Sequence[int], periods: Sequence[Period]
) -> Iterator[PeriodTries]:
    """The last tries at the end of each period in which a letter was tried, and of all the time before."""
    ends = _ends(pupils, periods)
    last = _last_before(connection, ends, lambda recent: recent.c.day <= ends.c.day)
    key = (ends.c.pupil, ends.c.letter, ends.c.period)
    query = select(*key, func.count(), func.sum(case((formed.is_(True), 1), else_=0))).select_from(last)
    for row in connection.execute(query.group_by(*key)):
        yield PeriodTries(*row)


def _ends(pupils: Sequence[int], periods: Sequence[Period]) -> Subquery:
    """The last day of each period on which each pupil tried each letter."""
    first, last = periods[0].first.isoformat(), periods[-1].last.isoformat()
    numbered = [(counter.c.day <= period.last.isoformat(), at) for at, period in enumerate(periods)]
    period = case((counter.c.day < first, -1), *numbered).label("period")
    query = select(counter.c.pupil, counter.c.letter, period, func.max(counter.c.day).label("day"))
    query = query.where(counter.c.pupil.in_(pupils), counter.c.day <= last, ~of_every_day(counter))
    tried = query.where(counter.c.letter != EVERY_LETTER, counter.c.tries > 0)
    return tried.group_by(counter.c.pupil, counter.c.letter, period).subquery("ends")


def _last_tries(connection: Connection, days: Days | None) -> Join:
    """Each pupil's last tries at each letter, of these days where some are given."""
    in_days = (lambda recent: between(recent.c.day, days)) if days else None
    return _last_before(connection, _WRITTEN, in_days)


def _last_before(
    connection: Connection,
    subjects: FromClause,
    in_days: Callable[[FromClause], ColumnElement[bool]] | None = None,
) -> Join:
    """The last tries of each pupil and letter among `subjects`, joined to it: by the index, no scan."""
    recent = attempt.alias("recent")
    own = select(recent.c.id).where(recent.c.pupil == subjects.c.pupil, recent.c.letter == subjects.c.letter)
    last = _newest(own.where(_TRY).correlate(subjects), recent).limit(LATELY)
    if in_days is not None:
        last = last.where(in_days(recent))
    tries = subjects.join(attempt, _among(connection, last))
    return tries.outerjoin(overruling, overruling.c.attempt == attempt.c.id)


def _newest(query: Select[Any], attempts: FromClause) -> Select[Any]:
    """The newest first, in the order of the indexes."""
    return query.order_by(*(attempts.c[name].desc() for name in ("day", "at", "id")))


def _among(connection: Connection, numbers: Select[Any]) -> ColumnElement[bool]:
    """That an attempt is one of these, given by number.

    PostgreSQL finds them one by one when they are in an array, else it would look at every attempt.
    """
    if connection.dialect.name == "postgresql":
        return attempt.c.id == func.any(func.array(numbers.scalar_subquery()))
    return attempt.c.id.in_(numbers)
