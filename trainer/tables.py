"""The record's tables as they are today, and the way of an attempt into rows and back."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from datetime import UTC, datetime
from typing import Any, cast

from sqlalchemy import (
    Boolean,
    Column,
    Float,
    ForeignKey,
    Integer,
    LargeBinary,
    MetaData,
    Row,
    String,
    Table,
)

from strokes.ink import Ink
from strokes.letter import Hand
from strokes.report import Finding, Kind
from trainer.attempt import Attempt, Pupil, Step, Verdict
from trainer.packing import pack, unpack

metadata = MetaData()

setting = Table(
    "setting",
    metadata,
    Column("name", String(40), primary_key=True),
    Column("value", String(200), nullable=False),
)

pupil = Table(
    "pupil",
    metadata,
    Column("id", Integer, primary_key=True),
    Column("name", String(40), nullable=False),
    Column("class_group", String(40), nullable=False),
    Column("card", Integer, nullable=False),
    Column("hand", String(5)),
    Column("archived", Boolean, nullable=False),
)

plan = Table(
    "plan",
    metadata,
    Column("class_group", String(40), primary_key=True),
    Column("place", Integer, primary_key=True),
    Column("letter", String(20), nullable=False),
)

attempt = Table(
    "attempt",
    metadata,
    Column("id", Integer, primary_key=True),
    Column("pupil", Integer, ForeignKey("pupil.id", ondelete="CASCADE"), nullable=False),
    Column("letter", String(20), nullable=False),
    Column("step", String(10), nullable=False),
    Column("at", String(27), nullable=False),
    Column("finished", Boolean, nullable=False),
    Column("formation", String(80)),
    Column("formed", Boolean),
    Column("looks", Boolean),
    Column("ink", LargeBinary),
)

finding = Table(
    "finding",
    metadata,
    Column("attempt", Integer, ForeignKey("attempt.id", ondelete="CASCADE"), primary_key=True),
    Column("place", Integer, primary_key=True),
    Column("kind", String(20), nullable=False),
    Column("amount", Float, nullable=False),
    Column("tolerance", Float, nullable=False),
    Column("stroke", Integer),
    Column("trace", Integer),
    Column("part_from", Float),
    Column("part_to", Float),
    Column("at_x", Float),
    Column("at_y", Float),
    Column("written_order", String(60), nullable=False),
    Column("other_letter", String(20)),
    Column("note", Boolean, nullable=False),
)


def stamp(moment: datetime) -> str:
    """A moment as UTC text of one width: it sorts as time does, in any database."""
    return moment.astimezone(UTC).strftime("%Y-%m-%dT%H:%M:%S.%fZ")


def moment(stamped: str) -> datetime:
    """The moment that `stamp` wrote."""
    return datetime.fromisoformat(stamped)


def pupil_from(row: Row[Any]) -> Pupil:
    """A pupil from its row."""
    return Pupil(row.id, row.name, row.card, cast("Hand | None", row.hand), row.class_group, row.archived)


def attempt_row(kept: Attempt) -> dict[str, Any]:
    """The row of an attempt, without its id and its findings."""
    verdict = kept.verdict
    return {
        "pupil": kept.pupil,
        "letter": kept.letter,
        "step": kept.step.value,
        "at": stamp(kept.at),
        "finished": kept.finished,
        "formation": verdict and verdict.formation,
        "formed": verdict and verdict.formed,
        "looks": verdict and verdict.looks,
        "ink": pack(kept.ink),
    }


def attempt_from(row: Row[Any], findings: Sequence[Row[Any]]) -> Attempt:
    """An attempt from its row and the rows of its findings, in their order."""
    verdict = None
    if row.formation is not None:
        verdict = Verdict(row.formation, row.formed, row.looks, tuple(map(_finding_from, findings)))
    packed = row._mapping.get("ink")
    ink = Ink() if packed is None else unpack(packed)
    return Attempt(row.id, row.pupil, row.letter, Step(row.step), moment(row.at), ink, verdict, row.finished)


def numbered(kept: Attempt, number: int) -> Attempt:
    """The same attempt with the id the record gave it."""
    return replace(kept, id=number)


def finding_rows(number: int, verdict: Verdict) -> list[dict[str, Any]]:
    """The rows of all findings of attempt `number`; `written_order` is the strokes' numbers with spaces."""
    return [
        {
            "attempt": number,
            "place": place,
            "kind": found.kind.value,
            "amount": float(found.amount),
            "tolerance": float(found.limit),
            "stroke": found.stroke,
            "trace": found.trace,
            "part_from": found.part and float(found.part[0]),
            "part_to": found.part and float(found.part[1]),
            "at_x": found.at and float(found.at[0]),
            "at_y": found.at and float(found.at[1]),
            "written_order": " ".join(map(str, found.order)),
            "other_letter": found.letter,
            "note": bool(found.note),
        }
        for place, found in enumerate(verdict.findings)
    ]


def _finding_from(row: Row[Any]) -> Finding:
    return Finding(
        Kind(row.kind),
        row.amount,
        row.tolerance,
        stroke=row.stroke,
        trace=row.trace,
        part=None if row.part_from is None else (row.part_from, row.part_to),
        at=None if row.at_x is None else (row.at_x, row.at_y),
        order=tuple(map(int, row.written_order.split())),
        letter=row.other_letter,
        note=row.note,
    )
