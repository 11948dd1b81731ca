"""The way of pupils, attempts and findings into the record's rows and back."""

from __future__ import annotations

import json
from collections.abc import Sequence
from dataclasses import replace
from datetime import UTC, datetime
from types import SimpleNamespace
from typing import Any, cast

from sqlalchemy import Row

from strokes.ink import Ink
from strokes.letter import Hand
from strokes.report import Finding, Kind
from trainer.attempt import Attempt, Overruling, PastVerdict, Pupil, Step, Verdict
from trainer.packing import pack, unpack

LARGEST_NUMBER = 2**31 - 1
"""The largest number that a row can have in every database; no other is looked for."""


def stamp(moment: datetime) -> str:
    """A moment as UTC text of one width: it sorts as time does, in any database."""
    return moment.astimezone(UTC).strftime("%Y-%m-%dT%H:%M:%S.%fZ")


def moment(stamped: str) -> datetime:
    """The moment that `stamp` wrote."""
    return datetime.fromisoformat(stamped)


def day_of(moment: datetime) -> str:
    """The day here, on this machine's calendar, as text that sorts as days do.

    An attempt keeps it from the time of writing: a teacher thinks in the days of her own school, and
    they do not change when the record is opened elsewhere.
    """
    return moment.astimezone().date().isoformat()


def pupil_from(row: Row[Any]) -> Pupil:
    """A pupil from its row."""
    return Pupil(row.id, row.name, row.card, cast("Hand | None", row.hand), row.class_group, row.archived)


def attempt_row(kept: Attempt) -> dict[str, Any]:
    """The row of an attempt, without its id and its findings."""
    judged: dict[str, Any] = {"formation": None, "formed": None, "looks": None, "mended": False}
    if kept.verdict:
        judged = verdict_row(kept.verdict)
    return {
        "pupil": kept.pupil,
        "letter": kept.letter,
        "step": kept.step.value,
        "at": stamp(kept.at),
        "finished": kept.finished,
        **judged,
        "ink": pack(kept.ink, kept.later),
        "day": day_of(kept.at),
        "checks": kept.checks,
    }


def verdict_row(verdict: Verdict) -> dict[str, Any]:
    """The part of an attempt's row that a verdict fills."""
    return {
        "formation": verdict.formation,
        "formed": verdict.formed,
        "looks": verdict.looks,
        "mended": verdict.mended,
    }


def verdict_from(row: Row[Any], findings: Sequence[Row[Any]]) -> Verdict:
    """A verdict from the row of its attempt and the rows of its findings, in their order."""
    return Verdict(row.formation, row.formed, row.looks, tuple(map(_finding_from, findings)), row.mended)


def attempt_from(row: Row[Any], findings: Sequence[Row[Any]]) -> Attempt:
    """An attempt from its row and the rows of its findings, in their order."""
    packed = row._mapping.get("ink")
    ink, later = (Ink(), None) if packed is None else unpack(packed)
    return Attempt(
        row.id,
        row.pupil,
        row.letter,
        Step(row.step),
        moment(row.at),
        ink,
        None if row.formation is None else verdict_from(row, findings),
        row.finished,
        checks=row.checks,
        overruled=_overruling_from(row),
        later=later,
    )


def _overruling_from(row: Row[Any]) -> Overruling | None:
    if row.overruled_at is None:
        return None
    return Overruling(row.overruled_formed, row.overruled_looks, row.reason, moment(row.overruled_at))


def numbered(kept: Attempt, number: int) -> Attempt:
    """The same attempt with the id the record gave it."""
    return replace(kept, id=number)


def past_row(number: int, checks: str, at: datetime, verdict: Verdict) -> dict[str, Any]:
    """The row of a verdict on attempt `number` that gives way to a newer one; its findings are JSON."""
    findings = [_without_attempt(row) for row in finding_rows(number, verdict)]
    return {
        "attempt": number,
        "checks": checks,
        "at": stamp(at),
        **verdict_row(verdict),
        "findings": json.dumps(findings, separators=(",", ":")),
    }


def past_from(row: Row[Any]) -> PastVerdict:
    """A verdict of the past from its row."""
    findings = tuple(_finding_from(SimpleNamespace(**found)) for found in json.loads(row.findings))
    verdict = Verdict(row.formation, row.formed, row.looks, findings, row.mended)
    return PastVerdict(row.checks, moment(row.at), verdict)


def _without_attempt(row: dict[str, Any]) -> dict[str, Any]:
    return {name: value for name, value in row.items() if name not in ("attempt", "place")}


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


def _finding_from(row: Row[Any] | SimpleNamespace) -> Finding:
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
