"""The summary as a table for a spreadsheet: CSV, one row for each pupil and letter."""

from __future__ import annotations

import csv
import sys
from collections.abc import Iterable, Iterator, Sequence
from io import TextIOWrapper
from pathlib import Path
from typing import TextIO

from strokes.kinds import Kind
from trainer.atomic_file import replacing
from trainer.attempt import Observation, Pupil
from trainer.language import kind_name, text
from trainer.teaching import LetterFigures, Observed, Summary, observed

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
_ON_PAPER = ("on_paper", "on_paper_formed", "on_paper_last")
"""What the teacher saw on paper: her word, which is counted nowhere else in the row."""

_FORMULA = ("=", "+", "-", "@", "\t", "\r", "\n")


def write(summary: Summary, file: str, on_paper: Iterable[Observation] = ()) -> None:
    """Write the table to a file, or to the standard output for `-`; with what was seen `on_paper`.

    Raises PlaceError when the file cannot be written.
    """
    if file == "-":
        _write(rows(summary, on_paper), sys.stdout)
        return
    with replacing(Path(file), what="the table", private=True) as writing:
        # utf-8-sig, because a common spreadsheet takes plain UTF-8 for something older
        table = TextIOWrapper(writing, encoding="utf-8-sig", newline="", write_through=True)
        _write(rows(summary, on_paper), table)
        table.detach()


def rows(summary: Summary, on_paper: Iterable[Observation] = ()) -> Iterator[list[str]]:
    """The heading, then a row for each pupil and letter; letters that were seen on paper alone come last."""
    kinds = [text("summary.csv_more.seen", what=kind_name(kind)) for kind in Kind]
    more = [text("summary.csv_more.notes"), *(text(f"summary.csv.{name}") for name in _ON_PAPER)]
    yield [*(text(f"summary.csv.{name}") for name in _HEADINGS), *kinds, *more]
    seen = list(on_paper)
    for pupil in summary.pupils:
        own = {each.letter: each for each in observed(each for each in seen if each.pupil == pupil.id)}
        for line in summary.by_pupil[pupil.id]:
            yield [_plain(cell) for cell in [*_row(pupil, line), *_paper(own.pop(line.letter, None))]]
        for letter, on_paper_alone in own.items():
            unwritten = [pupil.group, pupil.name, letter, *[""] * (len(_HEADINGS) - 3 + len(Kind) + 1)]
            yield [_plain(cell) for cell in [*unwritten, *_paper(on_paper_alone)]]


def _paper(line: Observed | None) -> list[str]:
    """The cells of a letter on paper; empty where nobody looked at it."""
    return [str(line.looked_at), str(line.formed), line.last.isoformat()] if line else [""] * len(_ON_PAPER)


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


def _write(table: Iterable[Sequence[str]], file: TextIO) -> None:
    csv.writer(file, lineterminator="\n" if file is sys.stdout else "\r\n").writerows(table)
