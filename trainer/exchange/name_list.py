"""A class as a teacher has it at hand: names pasted one a line, or a plain table saved as CSV.

It becomes a Roster, as a school's export does, so that names, cards and groups are given out by one rule.
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from trainer.attempt import NAME_LENGTH, tidy_name
from trainer.errors import RosterError
from trainer.exchange.bundle import is_zip
from trainer.exchange.csv_table import numbered_rows
from trainer.exchange.display_names import LONGEST_GIVEN
from trainer.exchange.oneroster import Person, Roster, SchoolClass

LARGEST = 100_000
"""Characters and bytes of a list: a thousand names have a fifth of it."""

MOST = 400
"""Names of a list: more than these are a school, which has an export."""

MOST_FAULTS = 20
"""How many lines an error names."""

TITLES = {
    "name": ("name", "names", "display name", "pupil", "pupils", "student", "students", "child", "children"),
    "given": ("first name", "firstname", "given name", "givenname"),
    "family": ("last name", "lastname", "family name", "familyname", "surname"),
    "group": ("group", "class"),
}
"""What the columns of a table may be called, in any case: all that is read of it."""

_SEPARATORS = "\t;,"
_BREAKS = re.compile(r"\r\n|[\n\r\v\f\x85\u2028\u2029]")
"""Ends of lines of Windows, Unix, the old Mac, and of word processors."""

_NUMBERING = re.compile(r"(?:\d{1,3}[.)]|[-\u2013*\u2022\u00b7])\s+")
"""What a word processor puts before the lines of a list."""

_REPLACED = "\ufffd"
"""Stands where a program could not read a letter."""

_MARKS = ((b"\xff\xfe", "utf-16"), (b"\xfe\xff", "utf-16"), (b"\xef\xbb\xbf", "utf-8-sig"))
"""How a text file may begin that says how its letters are written."""


@dataclass(frozen=True)
class _Line:
    """One child of the list."""

    number: int
    given: str
    family: str = ""
    group: str = ""


def decoded(content: bytes, name: str) -> str:
    """The text of a file, whichever way its letters are written.

    UTF-8 and UTF-16, with or without their mark, else the letters of the old Mac where its ends of lines
    stand, and those of Windows. Raises RosterError for what is too large or no text.
    """
    if len(content) > LARGEST:
        raise RosterError(f"{name}: must have at most {LARGEST // 1000} kB, and it has more")
    if is_zip(content):
        raise RosterError(f"{name}: must be text, and it is a zip or a workbook; save the table as CSV")
    for encoding in _encodings(content):
        try:
            text = content.decode(encoding)
        except UnicodeDecodeError:
            continue
        if all(character.isprintable() or character.isspace() or character == "\ufeff" for character in text):
            return text
    raise RosterError(f"{name}: must be text, such as a table that is saved as CSV, and it is not")


def _encodings(content: bytes) -> Iterator[str]:
    for mark, encoding in _MARKS:
        if content.startswith(mark):
            yield encoding
            return
    if b"\0" in content:  # every other byte of plain letters in UTF-16
        yield "utf-16-le" if content[1:2] == b"\0" else "utf-16-be"
        return
    yield "utf-8"
    yield "mac_roman" if b"\r" in content and b"\n" not in content else "cp1252"


def parse(typed: str, group: str, *, name: str = "the list") -> Roster:
    """The roster of a list. Who is in no group by a column of the table comes into `group`.

    The first line names the columns, or each line is one name. Nothing but names and groups is read.
    Raises RosterError, with the lines at fault, for a list that cannot be taken whole.
    """
    if len(typed) > LARGEST:
        raise RosterError(f"{name} must have at most {LARGEST} characters, not {len(typed)}")
    group = tidy_name(group)
    if not 1 <= len(group) <= NAME_LENGTH or not group.isprintable():
        raise RosterError(f"the group's name must be 1 to {NAME_LENGTH} letters, not {group[:NAME_LENGTH]!r}")
    lines = _BREAKS.sub("\n", typed.replace("\ufeff", "").replace("\0", "")).split("\n")
    first = next((line for line in lines if line.strip()), "")
    header = _header(first)
    read = list(_named(lines) if header is None else _tabled(name, lines, *header))
    faults = [f"line {line.number}: {fault}" for line in read for fault in _faults(line)]
    if faults:
        raise RosterError(
            f"{name}, {faults[0]}; nothing was taken",
            tuple(faults[:MOST_FAULTS]) if len(faults) > 1 else (),
        )
    if not read:
        raise RosterError(f"{name} must have a name on each line, and it has none")
    if len(read) > MOST:
        raise RosterError(
            f"{name} must have at most {MOST} names, not {len(read)}; a school's export is taken as OneRoster"
        )
    return _roster(read, group)


def _header(first: str) -> tuple[str, dict[str, int]] | None:
    """What parts the cells of a table and where its columns are; None where the first line is a name."""
    for separator in _SEPARATORS:
        titles = [tidy_name(cell).strip('"').casefold() for cell in first.split(separator)]
        columns = {
            column: next(place for place, title in enumerate(titles) if title in known)
            for column, known in TITLES.items()
            if set(titles) & set(known)
        }
        if "name" in columns or "given" in columns:
            return separator, columns
    return None


def _named(lines: Sequence[str]) -> Iterator[_Line]:
    """Names one a line, as they were pasted."""
    for number, line in enumerate(lines, start=1):
        cells = [cell.strip().strip('"') for cell in re.split(f"[{_SEPARATORS}]", line)]
        if any(cells):
            whole = next(filter(None, cells)) if sum(map(bool, cells)) == 1 else line.strip()
            yield _Line(number, tidy_name(_NUMBERING.sub("", whole.strip(), count=1)))


def _tabled(name: str, lines: Sequence[str], separator: str, columns: dict[str, int]) -> Iterator[_Line]:
    """The rows of a table below its header."""
    rows = numbered_rows(name, "\n".join(lines), separator=separator)
    next(rows, None)
    for number, row in rows:
        cells = {column: tidy_name(row[place]) for column, place in columns.items() if place < len(row)}
        if any(map(tidy_name, row)):
            given = cells.get("given") or cells.get("name", "")
            yield _Line(number, given, cells.get("family", ""), cells.get("group", ""))


def _faults(line: _Line) -> Iterator[str]:
    """What is wrong with a line: what must be, what is."""
    if not line.given:
        yield "a name must stand there, and it is empty"
    elif any(separator in line.given for separator in _SEPARATORS):
        yield (
            f"must be one name, not {line.given[:NAME_LENGTH]!r}, or the first line must name the columns, "
            "such as: name, group"
        )
    for what, typed, longest in (
        ("name", line.given, LONGEST_GIVEN),
        ("group's name", line.group, NAME_LENGTH),
    ):
        if len(typed) > longest:
            yield f"a {what} must have at most {longest} letters, not {len(typed)}"
        if not typed.isprintable() or _REPLACED in typed:
            yield f"a {what} must be letters that can be read, not {typed[:NAME_LENGTH]!r}"


def _roster(read: Sequence[_Line], group: str) -> Roster:
    """The lines as people of classes; a class is known by its title in any case, as a group is."""
    classes: dict[str, SchoolClass] = {}
    people, enrolled = [], set()
    for line in read:
        title = line.group or group
        school_class = classes.setdefault(title.casefold(), SchoolClass(title.casefold(), title))
        people.append(Person(f"{line.number:06}", line.given, line.family))
        enrolled.add((school_class.id, people[-1].id))
    return Roster(tuple(people), tuple(classes.values()), frozenset(enrolled))
