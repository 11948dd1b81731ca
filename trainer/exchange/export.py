"""What the record holds of some pupils as one zip file: for a family that asks, or for another school.

A folder for each pupil has a page to read, `ink.inkml` (the ink that is still kept, an open standard),
`summary.csv` (for a spreadsheet) and `record.json`: notes, plan and every attempt with its verdicts, in
numbers and in words. There `ink` is the number of an attempt's traceGroup in ink.inkml, from 1, and null
where none is kept; `damaged` tells of attempts that could not be read.
"""

from __future__ import annotations

import csv
import io
import json
import re
import time
import unicodedata
import zipfile
from collections.abc import Callable, Iterator, Sequence
from dataclasses import asdict
from datetime import UTC, datetime
from typing import IO, Any

from strokes.alphabet import Alphabet
from strokes.files import Specimen
from strokes.files.inkml import inkml_lines
from strokes.letter import Formation
from strokes.report import Finding
from trainer.attempt import Attempt, PastVerdict, Pupil, Verdict, WordTry
from trainer.errors import BrokenRecordError, OnDamage, pass_over
from trainer.exchange import spreadsheet
from trainer.exchange.ink_files import line_specimen, specimen
from trainer.ink_codec import DECIMALS
from trainer.language import finding_words, paper_words, sentence, text, word_kind_name
from trainer.record import Record
from trainer.teaching import planned_letters, teaching_order

FORMAT = 1
"""The shape of `record.json`; it grows when a field changes its meaning."""


def pupils_zip(
    record: Record, alphabet: Alphabet, pupils: Sequence[Pupil], readable: Callable[[Pupil], str]
) -> bytes:
    """The zip file of these pupils; `alphabet` gives the words for findings in a stroke.

    `readable` gives a pupil's page as HTML that stands alone.
    """
    file = io.BytesIO()
    write(record, alphabet, pupils, readable, file)
    return file.getvalue()


def write(
    record: Record,
    alphabet: Alphabet,
    pupils: Sequence[Pupil],
    readable: Callable[[Pupil], str],
    file: IO[bytes],
) -> None:
    """Write the zip file, pupil by pupil."""
    with zipfile.ZipFile(file, "w", zipfile.ZIP_DEFLATED) as folder:
        _add(folder, "README.txt", [text("export.readme") + "\n"])
        for number, pupil in enumerate(pupils, 1):
            place = file_name(number, pupil)
            _add(folder, f"{place}/READ-ME-FIRST.html", [readable(pupil)])
            damaged: list[BrokenRecordError] = []
            attempts = list(record.attempts.find(pupil.id, on_damage=damaged.append))
            inked = [attempt for attempt in attempts if attempt.ink.traces]
            numbers = {attempt.id: group for group, attempt in enumerate(inked, 1)}
            _add(folder, f"{place}/ink.inkml", inkml_lines(_specimens(inked, pupil), decimals=DECIMALS))
            _add(folder, f"{place}/summary.csv", _table(record, alphabet, pupil))
            tries = list(record.word_tries.find([pupil.id], on_damage=damaged.append))
            lines = [tried for tried in tries if tried.ink.traces]
            if lines:
                _add(
                    folder, f"{place}/words.inkml", inkml_lines(map(line_specimen, lines), decimals=DECIMALS)
                )
            past = record.verdicts.past(pupil.id, on_damage=damaged.append)
            content = _pupil(record, alphabet, pupil, damaged.append) | {
                "attempts": [
                    _attempt(alphabet, attempt, past.get(attempt.id or 0, ()))
                    | {"ink": numbers.get(attempt.id)}
                    for attempt in attempts
                ],
                "words": [_word(tried) | {"ink": tried in lines} for tried in tries],
                "damaged": [sentence(error) for error in damaged],
            }
            _add(folder, f"{place}/record.json", [json.dumps(content, indent=1, ensure_ascii=False), "\n"])


def _add(folder: zipfile.ZipFile, name: str, pieces: Iterator[str] | Sequence[str]) -> None:
    """A text file, piece by piece, dated now."""
    entry = zipfile.ZipInfo(name, date_time=time.localtime()[:6])
    entry.compress_type = zipfile.ZIP_DEFLATED
    with folder.open(entry, "w") as file:
        for piece in pieces:
            file.write(piece.encode())


def file_name(number: int, pupil: Pupil) -> str:
    """A name that every file system takes: plain letters, with a number that makes it unique."""
    plain = unicodedata.normalize("NFKD", pupil.name).encode("ascii", "ignore").decode()
    return f"{number:02}-{re.sub(r'[^A-Za-z0-9]+', '-', plain).strip('-').lower() or 'pupil'}"


def _specimens(attempts: Sequence[Attempt], pupil: Pupil) -> Iterator[Specimen]:
    return (specimen(attempt, pupil.name) for attempt in attempts)


def _table(record: Record, alphabet: Alphabet, pupil: Pupil) -> list[str]:
    """The summary for a spreadsheet, with the mark that declares UTF-8."""
    table = io.StringIO(newline="")
    summary = record.figures.summary(pupil=pupil.id, order=teaching_order(alphabet), other=False)
    on_paper = record.observations.find([pupil.id], on_damage=pass_over)  # record.json tells of damage
    csv.writer(table, lineterminator="\r\n").writerows(spreadsheet.rows(summary, on_paper))
    return ["\ufeff", table.getvalue()]


def _pupil(record: Record, alphabet: Alphabet, pupil: Pupil, on_damage: OnDamage) -> dict[str, Any]:
    notes = record.notes.find(pupil.id, on_damage=on_damage)
    return {
        "format": FORMAT,
        "name": pupil.name,
        "group": pupil.group,
        "hand": pupil.hand,
        "card": pupil.card,
        "archived": pupil.archived,
        "plan": list(planned_letters(record.plans.for_pupil(pupil.id), pupil.name, alphabet)),
        "observations": [
            {
                "letter": seen.letter,
                "day": seen.day.isoformat(),
                "formed": seen.formed,
                "kinds": [kind.value for kind in seen.seen],
                "words": paper_words(seen.seen),
            }
            for seen in record.observations.find([pupil.id], on_damage=on_damage)
        ],
        "lessons": [
            {
                "day": day.isoformat(),
                "letter": need.letter,
                "kind": need.kind.value,
                "times": need.times,
                "tries": need.tries,
            }
            for day, need in record.lessons.of_pupil(pupil, on_damage=on_damage)
        ],
        "notes": [{"at": _time(note.at), "text": note.text} for note in notes],
    }


def _attempt(alphabet: Alphabet, attempt: Attempt, past: Sequence[PastVerdict]) -> dict[str, Any]:
    content: dict[str, Any] = {
        "letter": attempt.letter,
        "in_word": attempt.in_word and asdict(attempt.in_word),
        "step": attempt.step.value,
        "at": _time(attempt.at),
        "finished": attempt.finished,
        "checks": attempt.checks,
        "verdict": attempt.verdict and _verdict(alphabet, attempt.letter, attempt.verdict),
        "unreadable": attempt.unreadable or None,
        "overruled": None,
        "past": [
            {
                "checks": older.checks,
                "until": _time(older.at),
                "verdict": _verdict(alphabet, attempt.letter, older.verdict),
            }
            for older in past
        ],
    }
    if attempt.overruled:
        content["overruled"] = asdict(attempt.overruled) | {"at": _time(attempt.overruled.at)}
    return content


def _word(tried: WordTry) -> dict[str, Any]:
    """A try at a whole word; what was seen on one line in words and numbers."""
    return {
        "word": tried.word,
        "part": tried.part.value,
        "at": _time(tried.at),
        "finished": tried.finished,
        "asked": tried.asked,
        "given": tried.given,
        "wrong": tried.wrong,
        "checks": tried.checks,
        "findings": [
            {"words": word_kind_name(finding.kind), **asdict(finding), "kind": finding.kind.value}
            for finding in tried.findings
        ],
        "unreadable": tried.unreadable or None,
    }


def _verdict(alphabet: Alphabet, letter: str, verdict: Verdict) -> dict[str, Any]:
    formations = alphabet[letter].formations if letter in alphabet else ()
    formation = next((accepted for accepted in formations if accepted.name == verdict.formation), None)
    return {
        "formation": verdict.formation,
        "formed": verdict.formed,
        "mended": verdict.mended,
        "looks": verdict.looks,
        "findings": [_finding(finding, formation, letter) for finding in verdict.findings],
    }


def _finding(finding: Finding, formation: Formation | None, letter: str) -> dict[str, Any]:
    """A finding's words and its numbers; strokes and traces are counted from 0, as the record does.

    What it does not have is left out. A 0 is a number, though it equals False.
    """
    values = asdict(finding).items()
    given = {name: value for name, value in values if value not in (None, ()) and value is not False}
    return {"words": finding_words(finding, formation, letter), **given, "kind": finding.kind.value}


def _time(moment: datetime) -> str:
    return moment.astimezone(UTC).isoformat(timespec="seconds")
