"""The summary as a table for a spreadsheet: CSV, one row for each pupil and letter."""

from __future__ import annotations

import csv
import sys
from collections.abc import Iterator
from io import TextIOWrapper
from pathlib import Path
from typing import TextIO

from strokes.kinds import Kind
from trainer.atomic_file import replacing
from trainer.attempt import Pupil
from trainer.language import kind_name, text
from trainer.teaching import LetterFigures, Summary

_HEADINGS = (
    "group",
    "pupil",
    "letter",
    "tries",
    "formed",
    "mended",
    "low",
    "high",
    "looks",
    "copied",
    "copied_formed",
    "recalled",
    "recalled_formed",
    "lately",
    "lately_formed",
    "traced",
    "in_words",
    "in_words_formed",
    "first",
    "last",
)
_FORMULA = ("=", "+", "-", "@", "\t", "\r", "\n")


def write(summary: Summary, file: str) -> None:
    """Write the table to a file, or to the standard output for `-`.

    Raises PlaceError when the file cannot be written.
    """
    if file == "-":
        _write(summary, sys.stdout)
        return
    with replacing(Path(file), what="the table", private=True) as writing:
        # utf-8-sig, because a common spreadsheet takes plain UTF-8 for something older
        table = TextIOWrapper(writing, encoding="utf-8-sig", newline="", write_through=True)
        _write(summary, table)
        table.detach()


def rows(summary: Summary) -> Iterator[list[str]]:
    """The heading, then a row for each pupil and letter that the pupil wrote."""
    kinds = [text("summary.csv_more.seen", what=kind_name(kind)) for kind in Kind]
    yield [text(f"summary.csv.{name}") for name in _HEADINGS] + kinds + [text("summary.csv_more.notes")]
    for pupil in summary.pupils:
        for line in summary.by_pupil[pupil.id]:
            yield [_plain(cell) for cell in _row(pupil, line)]


def _row(pupil: Pupil, line: LetterFigures) -> list[str]:
    low, high = line.likely
    likely = (
        [f"{100 * low:.0f}", f"{100 * high:.0f}"]
        if line.enough
        else [text("summary.csv_more.not_enough")] * 2
    )
    counts = (
        line.looks,
        line.tries - line.recalled,
        line.formed - line.recalled_formed,
        line.recalled,
        line.recalled_formed,
        line.lately,
        line.lately_formed,
        line.traced,
        line.in_words,
        line.in_words_formed,
    )
    dates = [day.astimezone().date().isoformat() for day in (line.first, line.last)]
    tries = {figures.kind: figures.tries for figures in line.findings}
    return [
        pupil.group,
        pupil.name,
        line.letter,
        str(line.tries),
        str(line.formed),
        str(line.mended),
        *likely,
        *map(str, counts),
        *dates,
        *(str(tries.get(kind, 0)) for kind in Kind),
        str(sum(figures.tries for figures in line.noted)),
    ]


def _plain(cell: str) -> str:
    """The cell, with a mark before what a spreadsheet would take for a formula."""
    return f"'{cell}" if cell.startswith(_FORMULA) else cell


def _write(summary: Summary, table: TextIO) -> None:
    csv.writer(table, lineterminator="\n" if table is sys.stdout else "\r\n").writerows(rows(summary))
