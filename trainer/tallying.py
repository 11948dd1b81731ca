"""The record's running counts: kept by the transaction that writes an attempt, so that reading is cheap.

`tally` counts attempts by pupil, letter and day, `tally_finding` what was found in them. Their rows of
a month, a year and of all days together (named as in `spans`) hold the sums, so that any range of days
is few rows; those of the letter '' in `tally` hold all letters of a day.

A change never adds to a count or takes from it: the days it touched are counted anew from their
attempts, which are few, and then each longer span from the next shorter ones in it. So the counts are
right by the same statements that count the whole record, whatever the change was.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from typing import Any, TypeAlias

from sqlalchemy import (
    BindParameter,
    ColumnElement,
    Connection,
    Executable,
    FromClause,
    Select,
    Table,
    and_,
    bindparam,
    case,
    delete,
    distinct,
    func,
    insert,
    literal,
    literal_column,
    or_,
    select,
    true,
)

from strokes.report import FORMATION, Kind
from trainer.attempt import Step
from trainer.spans import ALL, DAY, MONTH, YEAR
from trainer.tables import attempt, finding, overruling, tally, tally_finding

Cell: TypeAlias = tuple[int, str, str]
"""A pupil, a letter and a day."""

EVERY_LETTER = ""

is_try = and_(
    attempt.c.finished.is_(True),
    or_(attempt.c.step == Step.COPY.value, attempt.c.step == Step.RECALL.value),
)
"""As `tries.is_try`; a finished attempt has a verdict."""

formed = func.coalesce(overruling.c.formed, attempt.c.formed)
looks = func.coalesce(overruling.c.looks, attempt.c.looks)

stands = or_(
    finding.c.note.is_(True),
    overruling.c.attempt.is_(None),
    case(
        (or_(*(finding.c.kind == kind.value for kind in Kind if kind in FORMATION)), overruling.c.formed),
        else_=overruling.c.looks,
    ).is_(False),
)
"""Whether a finding counts: a teacher's overruling takes back what it says is well; as `tries.counted`."""


def recount(connection: Connection, cells: Iterable[Cell] | None = None) -> None:
    """Count these cells anew, and what holds them together; without cells, everything."""
    if cells is None:
        for _, statement in _EVERYTHING:
            connection.execute(statement)
        return
    touched = [_named(*cell) for cell in sorted(set(cells))]
    if not touched:
        return
    for key, statement in _TOUCHED:
        own = dict.fromkeys(tuple((name, cell[name]) for name in key) for cell in touched)
        connection.execute(statement, [dict(one) for one in own])


def cells_of(connection: Connection, attempts: Sequence[int]) -> list[Cell]:
    """The cells in which these attempts, given by number, are counted."""
    query = select(attempt.c.pupil, attempt.c.letter, attempt.c.day).where(attempt.c.id.in_(attempts))
    return [(row.pupil, row.letter, row.day) for row in connection.execute(query.distinct())]


def _tries_of_days() -> Iterator[Select[Any]]:
    recalled = and_(is_try, attempt.c.step == Step.RECALL.value)
    when = case((attempt.c.finished.is_(True), attempt.c.at))
    yield (
        select(
            attempt.c.pupil,
            attempt.c.letter,
            attempt.c.day,
            _how_many(is_try),
            _how_many(and_(is_try, formed.is_(True))),
            _how_many(and_(is_try, looks.is_(True))),
            _how_many(recalled),
            _how_many(and_(recalled, formed.is_(True))),
            _how_many(and_(attempt.c.finished.is_(True), ~is_try)),
            _how_many(attempt.c.finished.is_(False)),
            _how_many(and_(is_try, overruling.c.attempt.is_not(None))),
            func.min(when),
            func.max(when),
        )
        .outerjoin_from(attempt, overruling)
        .group_by(attempt.c.pupil, attempt.c.letter, attempt.c.day)
    )


def _findings_of_days() -> Iterator[Select[Any]]:
    """First the kinds, each once a try; then the letters that were written in place of the one asked for."""
    cell = (attempt.c.pupil, attempt.c.letter, attempt.c.day, finding.c.kind, finding.c.note)
    found = attempt.join(finding).outerjoin(overruling, overruling.c.attempt == attempt.c.id)
    tries, last = func.count(distinct(attempt.c.id)), func.max(attempt.c.at)
    every = select(*cell, literal(""), tries, last).select_from(found).where(is_try, stands)
    yield every.group_by(*cell)
    instead = select(*cell, finding.c.other_letter, tries, last).select_from(found).where(is_try, stands)
    named = and_(finding.c.kind == Kind.LETTER.value, finding.c.other_letter.is_not(None))
    yield instead.where(named).group_by(*cell, finding.c.other_letter)


def together(table: FromClause, instead: Mapping[str, ColumnElement[Any]]) -> Select[Any]:
    """Rows summed up as one, where they differ in nothing but what has something `instead` of it."""
    keys = [instead.get(column.name, column).label(column.name) for column in table.primary_key]
    sums = [_sum(column).label(column.name) for column in table.c if not column.primary_key]
    told_apart = [key for key in keys if not isinstance(key.element, BindParameter)]
    return select(*keys, *sums).group_by(*told_apart)


def _sum(column: ColumnElement[Any]) -> ColumnElement[Any]:
    if column.key == "first_at":
        return func.min(column)
    return func.max(column) if column.key == "last_at" else func.sum(column)


def _of_span(table: Table, longer: int, shorter: int) -> Select[Any]:
    """The rows of the `shorter` spans, as those of the `longer` ones that hold them."""
    span = func.substr(table.c.day, literal_column("1"), literal_column(str(longer)))
    single = and_(func.length(table.c.day) == shorter, table.c.letter != EVERY_LETTER)
    return together(table, {"day": span}).where(single)


def _how_many(which: ColumnElement[bool]) -> ColumnElement[int]:
    return func.sum(case((which, 1), else_=0))


def _write(table: Table, query: Select[Any]) -> Executable:
    return insert(table).from_select([column.name for column in table.c], query)


_CELL = ("pupil_", "letter_", "day_")
_SPANS = ((MONTH, DAY), (YEAR, MONTH), (ALL, YEAR))
"""Each longer span, with the shorter ones that it is counted from."""


def _named(pupil: int, letter: str, day: str) -> dict[str, Any]:
    """What the statements are told of a cell; a span's last name sorts after all that begin with its own."""
    named: dict[str, Any] = dict(zip(_CELL, (pupil, letter, day), strict=True))
    for length, _ in _SPANS:
        named |= {f"day_{length}": day[:length], f"last_{length}": f"{day[:length]}z"}
    return named


def _statements(*, everything: bool) -> Iterator[tuple[Sequence[str], Executable]]:
    """What counts cells anew, and then what holds them together; each with the part of a cell it goes by."""

    def of(table: Table, key: Sequence[str]) -> ColumnElement[bool]:
        own = [table.c[name.partition("_")[0]] == bindparam(name) for name in key]
        return true() if everything else and_(*own)

    def within(table: Table, length: int) -> ColumnElement[bool]:
        first: BindParameter[str] = bindparam(f"day_{length}")
        last: BindParameter[str] = bindparam(f"last_{length}")
        return true() if everything else and_(of(table, _CELL[:2]), table.c.day.between(first, last))

    for table, by_days in ((tally, _tries_of_days()), (tally_finding, _findings_of_days())):
        yield _CELL, delete(table).where(of(table, _CELL))
        for query in by_days:
            yield _CELL, _write(table, query.where(of(attempt, _CELL)))
        for longer, shorter in _SPANS:
            cell = (*_CELL[:2], f"day_{longer}")
            yield cell, delete(table).where(of(table, cell), func.length(table.c.day) == longer)
            sums = _of_span(table, longer, shorter).where(within(table, longer))
            yield (*cell, f"last_{longer}"), _write(table, sums)
    day = (_CELL[0], _CELL[2])
    yield day, delete(tally).where(of(tally, day), tally.c.letter == EVERY_LETTER)
    letters = together(tally, {"letter": literal(EVERY_LETTER)}).where(func.length(tally.c.day) == DAY)
    yield day, _write(tally, letters.where(of(tally, day)))


_TOUCHED, _EVERYTHING = list(_statements(everything=False)), list(_statements(everything=True))
