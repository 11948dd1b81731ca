"""A CSV table from outside (RFC 4180), read by its header: of a row only the columns that are asked for."""

from __future__ import annotations

import csv
import io
from collections.abc import Collection, Iterator, Mapping, Sequence
from dataclasses import dataclass

from trainer.errors import RosterError

MOST_ROWS = 60_000
"""Of one table: ten classes for each pupil of a large school, and half as many megabytes as all may take."""


@dataclass(frozen=True)
class Remark:
    """A line that was left out: where, what must be, what is."""

    file: str
    line: int
    reason: str

    def __str__(self) -> str:
        return f"{self.file}, line {self.line}: {self.reason}"


@dataclass(frozen=True)
class Row:
    """One row: where it begins in the file, and the cells that were asked for, without outer spaces.

    A column that may be lacking, and is, gives an empty cell.
    """

    file: str
    number: int
    cells: Mapping[str, str]

    def __getitem__(self, column: str) -> str:
        return self.cells[column]

    def remark(self, reason: str) -> Remark:
        """What is to be said of this line."""
        return Remark(self.file, self.number, reason)


@dataclass(frozen=True)
class Table:
    """The rows that fit the header, and remarks on those that do not."""

    lines: tuple[Row, ...]
    remarks: tuple[Remark, ...]


def read_table(name: str, content: bytes, columns: Sequence[str], may_lack: Collection[str] = ()) -> Table:
    """The columns of a table, found by their names in the first row, in any order and case.

    UTF-8, with or without a byte-order mark. Empty lines are nothing; a row with more or fewer cells
    than the header is left out, because it is not certain then which cell belongs to which column. Raises
    RosterError when the file is no such table, or lacks a column that may not be lacking.
    """
    try:
        decoded = content.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        raise RosterError(f"{name}: must be UTF-8 text, byte {error.start + 1} is not") from error
    rows = numbered_rows(name, decoded)
    _, header = next(rows, (1, []))
    places = _places(name, header, columns, may_lack)
    lines: list[Row] = []
    remarks: list[Remark] = []
    for number, row in rows:
        if len(lines) + len(remarks) >= MOST_ROWS:
            raise RosterError(f"{name}: must have at most {MOST_ROWS} lines, and it has more")
        if len(row) != len(header):
            reason = f"must have {len(header)} cells as the header has, not {len(row)}"
            remarks.append(Remark(name, number, reason))
            continue
        cells = {column: row[places[column]].strip() if column in places else "" for column in columns}
        lines.append(Row(name, number, cells))
    return Table(tuple(lines), tuple(remarks))


def numbered_rows(name: str, decoded: str, *, separator: str = ",") -> Iterator[tuple[int, list[str]]]:
    """The rows with the number of the line each begins in: a cell in quotes may run over several.

    Empty lines are left out. Raises RosterError where no row can be read.
    """
    reader = csv.reader(io.StringIO(decoded, newline=""), strict=True, delimiter=separator)
    begins = 1
    try:
        for row in reader:
            if row:
                yield begins, row
            begins = reader.line_num + 1
    except csv.Error as error:
        raise RosterError(f"{name}, line {begins}: must be a row of a CSV table: {error}") from error


def _places(
    name: str, header: Sequence[str], columns: Sequence[str], may_lack: Collection[str]
) -> dict[str, int]:
    titles = [title.strip().casefold() for title in header]
    if lacking := [
        column for column in columns if column not in may_lack and column.casefold() not in titles
    ]:
        what = "the column" if len(lacking) == 1 else "the columns"
        hint = "; its cells must be parted by commas" if len(titles) < 2 else ""
        raise RosterError(
            f"{name}: the first line must name {what} {', '.join(lacking)}, and it does not{hint}"
        )
    if double := [column for column in columns if titles.count(column.casefold()) > 1]:
        raise RosterError(f"{name}: the first line must name the column {double[0]} once, not twice")
    return {column: titles.index(column.casefold()) for column in columns if column.casefold() in titles}
