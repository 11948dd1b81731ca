"""The class at a glance: pupils by letters, letters by what was seen, and the term as a chart."""

from __future__ import annotations

from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass
from functools import cached_property
from itertools import groupby

from flask import Blueprint, Response, render_template, request

from strokes.alphabet import Alphabet
from strokes.intervals import wilson
from strokes.kinds import NOT_FORMED, NOT_RIGHT, Kind
from trainer.attempt import Pupil
from trainer.desk.desk import desk
from trainer.desk.mastery import mark
from trainer.desk.pages import date_range, query
from trainer.desk.pictures import trend
from trainer.language import day_words, kind_name, letter_words, listed, text
from trainer.teaching import (
    AGAIN,
    ENOUGH,
    LATELY,
    TERM,
    LetterFigures,
    Level,
    Summary,
    by_letter,
    by_set,
    level,
    taught_to_all,
    teaching_order,
)

page = Blueprint("classroom", __name__)

OFTEN = 0.25
"""A finding in this share of a letter's tries is marked in the table: ours, to find it at a glance."""

BY = ("formation", "look")


@dataclass(frozen=True)
class Cell:
    """The results of one letter for one pupil or for all: so many good ones of so many tries.

    `mended` are those that were well formed only after a stroke was shown again; they are no good ones.
    """

    good: int
    tries: int
    mended: int = 0

    @cached_property
    def level(self) -> Level:
        """The level, by its shape in the table."""
        return level(self.good, self.tries)

    @cached_property
    def likely(self) -> str:
        """Where the share would settle with many more tries, in percent; nothing where there are too few."""
        if self.level in (Level.NONE, Level.FEW):
            return ""
        low, high = wilson(self.good, self.tries)
        return text("classroom.likely", low=f"{100 * low:.0f}", high=f"{100 * high:.0f}")

    def described(self, name: str, letter: str) -> str:
        """The cell in words, of a pupil or of all."""
        counts = {"name": name, "letter": letter_words(letter), "good": self.good, "tries": self.tries}
        key = "cell_likely" if self.likely else "cell"
        said = text(f"classroom.table.{key}", **counts, likely=self.likely)
        return text("classroom.table.cell_mended", said=said, mended=self.mended) if self.mended else said


@dataclass(frozen=True)
class Row:
    """A pupil and a cell for each letter."""

    pupil: Pupil
    cells: Mapping[str, Cell]


@dataclass(frozen=True)
class Often:
    """One kind of finding at one letter: in how many of its tries, and whose."""

    count: int
    is_often: bool
    said: str


@page.get("/class")
def show() -> str:
    """The tables, sorted and limited as the address says."""
    record = desk().record
    groups = record.pupils.groups(archived=False)
    group = query.group(groups)
    days = date_range.asked(request.args, desk().now())
    by = query.one_of(BY, "by")
    if days.days is date_range.Days.LATELY:
        summary = record.figures.last_tries(group)
    else:
        summary = record.figures.summary(group, since=days.since, until=days.until, lately=False, other=False)
    used = desk().alphabets.used_by([group] if group else groups)
    order = by_set(teaching_order(*used))
    lines = by_letter(summary.lines)
    tried = by_set(
        letter for own in order.values() for letter in own if letter in lines and lines[letter].tries
    )
    letter_set = query.letter_set(tried)
    letters = tried[letter_set] if letter_set else ()
    kinds = [kind for kind in Kind if kind in (NOT_FORMED if by == BY[0] else NOT_RIGHT)]
    whole = {letter: cell(lines[letter], by) for letter in letters}
    findings = findings_by_letter(summary, letters, kinds)
    sort, down = request.args.get("sort", ""), request.args.get("down") == "1"
    return render_template(
        "classroom/show.html",
        groups=groups,
        group=group,
        days=days,
        by=by,
        summary=summary,
        sets=tuple(tried),
        letter_set=letter_set,
        letters=letters,
        untried=[
            letter for letter in taught_to_all(*used) if letter in order[letter_set] and letter not in letters
        ]
        if letter_set
        else [],
        families=families(desk().alphabet(group), letters),
        rows=ordered(rows(summary, by), sort, down=down),
        whole=whole,
        mended=any(total.mended for total in whole.values()),
        sort=sort,
        down=down,
        kinds=kinds,
        findings=findings,
        often=any(often.is_often for own in findings.values() for often in own.values()),
        weeks=record.figures.trend(group)[-TERM:],
        span=days.said(desk().now().astimezone().date()),
        levels=tuple(Level),
        mark=mark,
        day_words=day_words,
        enough=ENOUGH,
        lately=LATELY,
        none=Cell(0, 0),
    )


@page.get("/class/trend.svg")
def chart() -> Response:
    """The term as a picture of its own: its styles are not those of a page."""
    record = desk().record
    group = query.group(record.pupils.groups(archived=False))
    drawn = trend.drawn(record.figures.trend(group)[-TERM:])
    answer = Response(drawn, mimetype="image/svg+xml")
    answer.headers["Content-Security-Policy"] = "default-src 'none'; style-src 'unsafe-inline'"
    return answer


def rows(summary: Summary, by: str) -> list[Row]:
    """A row for each pupil."""
    return [
        Row(pupil, {line.letter: cell(line, by) for line in summary.by_pupil[pupil.id]})
        for pupil in summary.pupils
    ]


def cell(line: LetterFigures, by: str) -> Cell:
    """The cell of a line: well formed ones and beside them mended ones, or those that look right."""
    return Cell(line.formed, line.tries, line.mended) if by == BY[0] else Cell(line.looks, line.tries)


def ordered(rows: Sequence[Row], sort: str, *, down: bool) -> list[Row]:
    """The rows by name, by group, or by a letter: the lowest share first.

    `down` turns the order round; pupils with too few tries at the letter stay last.
    """
    named = sorted(rows, key=lambda row: row.pupil.name.casefold())
    if sort in ("", "name"):
        return named[::-1] if down else named
    if sort == "group":
        return sorted(named, key=lambda row: row.pupil.group, reverse=down)
    none = Cell(0, 0)
    known = [row for row in named if row.cells.get(sort, none).likely]
    known.sort(key=lambda row: row.cells[sort].good / row.cells[sort].tries, reverse=down)
    return known + [row for row in named if row not in known]


def families(alphabet: Alphabet, letters: Sequence[str]) -> list[tuple[str, int]]:
    """The family over each run of letters, with how many columns it spans; "" for letters without one."""
    names = {letter: family.name for family in alphabet.families for letter in family.letters}
    runs = groupby(letters, key=lambda letter: names.get(letter, ""))
    return [(name, len(list(run))) for name, run in runs]


def findings_by_letter(
    summary: Summary, letters: Sequence[str], kinds: Collection[Kind]
) -> dict[str, dict[Kind, Often]]:
    """What was seen of these kinds at each letter with enough tries."""
    names = {pupil.id: pupil.name for pupil in summary.pupils}
    lines = by_letter(summary.lines)
    findings: dict[str, dict[Kind, Often]] = {}
    for line in (lines[letter] for letter in letters if lines[letter].enough):
        findings[line.letter] = {
            figures.kind: Often(
                figures.tries,
                figures.tries >= max(AGAIN, OFTEN * line.tries),
                text(
                    "classroom.seen.said",
                    letter=letter_words(line.letter),
                    what=kind_name(figures.kind),
                    count=figures.tries,
                    tries=line.tries,
                    day=day_words(figures.last),
                    names=listed([names[pupil] for pupil in figures.pupils]),
                ),
            )
            for figures in line.findings
            if figures.kind in kinds
        }
    return findings
