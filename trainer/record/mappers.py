"""Pupils, attempts, verdicts and findings to the rows of the record's tables, and back."""

from __future__ import annotations

import json
from collections.abc import Sequence
from dataclasses import replace
from datetime import UTC, datetime
from math import isfinite
from types import SimpleNamespace, UnionType
from typing import Any, cast

from sqlalchemy import Row

from strokes.ink import Ink
from strokes.kinds import Kind, WordKind
from strokes.letter import Hand
from strokes.report import Finding, WordFinding
from trainer.attempt import (
    Attempt,
    InWord,
    Note,
    Overruling,
    PastVerdict,
    Pupil,
    Step,
    Verdict,
    WordPart,
    WordTry,
)
from trainer.ink_codec import pack, unpack
from trainer.record import tables

LARGEST_NUMBER = 2**31 - 1
"""The largest number that a row can have in every database; no other is looked for."""


def stamp(moment: datetime) -> str:
    """A moment as UTC text of one width: it sorts as time does, in any database."""
    return moment.astimezone(UTC).strftime("%Y-%m-%dT%H:%M:%S.%fZ")


def moment(stamped: str) -> datetime:
    """The moment that `stamp` wrote. Raises ValueError for any other text."""
    parsed = datetime.fromisoformat(stamped)
    if parsed.tzinfo is None:
        raise ValueError(f"a moment must have a time zone, not be {stamped!r}")
    return parsed


def moment_or_none(stamped: object) -> datetime | None:
    """The moment that `stamp` wrote; None for anything else."""
    try:
        return moment(str(stamped))
    except ValueError:
        return None


def day_of(moment: datetime) -> str:
    """The day here, on this machine's calendar, as text that sorts as days do.

    An attempt keeps it from the time of writing: a teacher thinks in the days of her own school, and
    they do not change when the record is opened elsewhere.
    """
    return moment.astimezone().date().isoformat()


def pupil_from(row: Row[Any]) -> Pupil:
    """A pupil from its row."""
    return Pupil(row.id, row.name, row.card, cast("Hand | None", row.hand), row.class_group, row.archived)


def note_from(row: Row[Any]) -> Note:
    """A note from its row. Raises ValueError for a damaged one."""
    _must_be(row, str, "said")
    return Note(row.id, moment(row.at), row.said)


def attempt_row(attempt: Attempt) -> dict[str, Any]:
    """The row of an attempt, without its id and its findings."""
    verdict: dict[str, Any] = {"formation": None, "formed": None, "looks": None, "mended": False}
    if attempt.verdict:
        verdict = verdict_row(attempt.verdict)
    return {
        "pupil": attempt.pupil,
        "letter": attempt.letter,
        "step": attempt.step.value,
        "at": stamp(attempt.at),
        "finished": attempt.finished,
        **verdict,
        "ink": pack(attempt.ink, attempt.shown),
        "day": day_of(attempt.at),
        "checks": attempt.checks,
        "word": attempt.in_word and attempt.in_word.word,
        "word_place": attempt.in_word and attempt.in_word.place,
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
    """A verdict from the row of its attempt and the rows of its findings, in their order.

    Raises ValueError for a damaged one: SQLite keeps whatever is put into a column.
    """
    _must_be(row, str, "formation")
    _must_be(row, bool, "formed", "looks", "mended")
    return Verdict(row.formation, row.formed, row.looks, tuple(map(_finding_from, findings)), row.mended)


def attempt_from(row: Row[Any], findings: Sequence[Row[Any]]) -> Attempt:
    """An attempt from its row and the rows of its findings, in their order.

    Raises ValueError for a damaged one. Ink that cannot be read is left out and told: what was seen in it
    stays, and no page and no export fails by it.
    """
    _must_be(row, str, "letter", "at", "checks")
    encoded, unreadable = row._mapping.get("ink"), ""
    try:
        ink, shown = (Ink(), None) if encoded is None else unpack(encoded)
    except ValueError as error:
        ink, shown, unreadable = Ink(), None, str(error)
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
        shown=shown,
        unreadable=unreadable,
        in_word=_in_word(row),
    )


def _in_word(row: Row[Any]) -> InWord | None:
    if row.word is None:
        return None
    _must_be(row, str, "word")
    _must_be(row, int, "word_place")
    return InWord(row.word, row.word_place)


def word_try_row(tried: WordTry) -> dict[str, Any]:
    """The row of a try at a word, without its id."""
    return {
        "pupil": tried.pupil,
        "word": tried.word,
        "part": tried.part.value,
        "at": stamp(tried.at),
        "day": day_of(tried.at),
        "finished": tried.finished,
        "asked": tried.asked,
        "given": tried.given,
        "wrong": tried.wrong,
        "ink": pack(tried.ink) if tried.ink.traces else None,
        "findings": word_findings_text(tried.findings),
        "checks": tried.checks,
    }


def word_findings_text(findings: Sequence[WordFinding]) -> str:
    """The findings of a word on one line, as JSON."""
    rows = [[finding.kind.value, finding.amount, finding.limit, finding.place] for finding in findings]
    return json.dumps(rows, separators=(",", ":"))


def word_try_from(row: Row[Any]) -> WordTry:
    """A try at a word from its row. Raises ValueError for a damaged one; ink as in `attempt_from`."""
    _must_be(row, str, "word", "part", "at", "checks", "findings")
    _must_be(row, int, "asked", "given", "wrong")
    _must_be(row, bool, "finished")
    encoded, unreadable = row._mapping.get("ink"), ""
    try:
        ink = Ink() if encoded is None else unpack(encoded)[0]
    except ValueError as error:
        ink, unreadable = Ink(), str(error)
    return WordTry(
        row.id,
        row.pupil,
        row.word,
        WordPart(row.part),
        moment(row.at),
        row.asked,
        row.given,
        row.wrong,
        ink,
        word_findings_from(row.findings),
        row.checks,
        row.finished,
        unreadable,
    )


def word_findings_from(encoded: str) -> tuple[WordFinding, ...]:
    """What `word_findings_text` wrote. Raises ValueError for anything else."""
    rows = json.loads(encoded)
    if not isinstance(rows, list) or not all(isinstance(row, list) and len(row) == 4 for row in rows):
        raise ValueError("findings must be a list of lists of four")
    return tuple(
        WordFinding(WordKind(kind), float(amount), float(limit), int(place))
        for kind, amount, limit, place in rows
    )


def _overruling_from(row: Row[Any]) -> Overruling | None:
    if row.overruled_at is None:
        return None
    return Overruling(row.overruled_formed, row.overruled_looks, row.reason, moment(row.overruled_at))


def numbered(attempt: Attempt, number: int) -> Attempt:
    """The same attempt with the id the record gave it."""
    return replace(attempt, id=number)


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
    """A verdict of the past from its row. Raises ValueError for a damaged one."""
    _must_be(row, str, "checks", "at", "formation", "findings")
    objects = json.loads(row.findings)
    if not isinstance(objects, list) or not all(isinstance(columns, dict) for columns in objects):
        raise ValueError("findings must be a list of objects")
    findings = tuple(_finding_from(SimpleNamespace(**(_EMPTY | columns))) for columns in objects)
    _must_be(row, bool, "mended")
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
            "kind": finding.kind.value,
            "amount": float(finding.amount),
            "tolerance": float(finding.limit),
            "stroke": finding.stroke,
            "trace": finding.trace,
            "part_from": finding.part and float(finding.part[0]),
            "part_to": finding.part and float(finding.part[1]),
            "at_x": finding.at and float(finding.at[0]),
            "at_y": finding.at and float(finding.at[1]),
            "written_order": " ".join(map(str, finding.order)),
            "other_letter": finding.letter,
            "note": bool(finding.note),
        }
        for place, finding in enumerate(verdict.findings)
    ]


def _finding_from(row: Row[Any] | SimpleNamespace) -> Finding:
    _must_be(row, str, "kind", "written_order")
    _must_be(row, str | None, "other_letter")
    _must_be(row, bool, "note")
    return Finding(
        Kind(row.kind),
        _finite(row, "amount"),
        _finite(row, "tolerance"),
        stroke=_index(row, "stroke"),
        trace=_index(row, "trace"),
        part=_pair(row, "part_from", "part_to"),
        at=_pair(row, "at_x", "at_y"),
        order=tuple(map(int, row.written_order.split())),
        letter=row.other_letter,
        note=row.note,
    )


_EMPTY = dict.fromkeys(column.name for column in tables.finding.c)
"""A finding's columns, none of them filled."""


def _must_be(row: object, kind: type | UnionType, *names: str) -> None:
    """Raise ValueError unless each of these columns has such a value."""
    for name in names:
        value = getattr(row, name)
        if not isinstance(value, kind):
            wanted = getattr(kind, "__name__", kind)
            raise ValueError(f"{name} must be {wanted}, not {value!r:.40}")


def _finite(row: object, name: str) -> float:
    _must_be(row, int | float, name)
    value: float = getattr(row, name)
    if not isfinite(value):
        raise ValueError(f"{name} must be a finite number, not {value}")
    return value


def _index(row: object, name: str) -> int | None:
    _must_be(row, int | None, name)
    value: int | None = getattr(row, name)
    if value is not None and value < 0:
        raise ValueError(f"{name} must be counted from 0, not be {value}")
    return value


def _pair(row: object, *names: str) -> tuple[float, float] | None:
    if all(getattr(row, name) is None for name in names):
        return None
    first, second = (_finite(row, name) for name in names)
    return first, second
