"""The lines of a UNIPEN file and of the files that it includes, gathered into statements."""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass, field
from io import StringIO
from itertools import chain, pairwise
from pathlib import Path

import numpy as np

from strokes.errors import InkFileError
from strokes.files.specimen import FARTHEST, LARGEST_INK_FILE, MOST_IN_TRACE, MOST_NESTED
from strokes.files.text_file import read_text
from strokes.polyline import Floats

KEY_WORD = re.compile(r"^\.([A-Z][A-Z_0-9]*)", re.MULTILINE)
"""A key word: a dot at the start of a line, and capitals."""

_NUMBER = re.compile(r"-?(?:\d{1,20}\.?\d{0,20}|\.\d{1,20})", re.ASCII)
_NUMBERS = re.compile(rf"(?:{_NUMBER.pattern}(?: |$))*", re.ASCII)

MOST_STATEMENTS = 1_000_000
"""Key words of a file with all that it includes: several for each component and segment of the largest."""

MOST_INCLUDED = 2000
"""Files that one file may include, in all."""


@dataclass(frozen=True, slots=True)
class Statement:
    """A key word with what stands after it, up to the next one; `line` is where it begins, from 1."""

    path: Path
    line: int
    word: str
    text: str

    def refuse(self, reason: str) -> InkFileError:
        """The error for a fault in this statement."""
        return InkFileError(self.path, f"line {self.line}: {reason}")

    @property
    def has_numbers(self) -> bool:
        """Whether anything stands after the key word."""
        return bool(self.text.strip())

    def rows(self, width: int) -> Floats:
        """The text as an (n, width) array, one point a line. Raises InkFileError for anything else."""
        rows = []
        for number, line in enumerate(StringIO(self.text), self.line):
            words = line.split()
            if not words:
                continue
            place = f"line {number}: a point must have"
            if len(words) != width:
                raise InkFileError(self.path, f"{place} {width} numbers, as .COORD says, not {len(words)}")
            if not _NUMBERS.fullmatch(" ".join(words)):
                wrong = next(word for word in words if not _NUMBER.fullmatch(word))
                raise InkFileError(self.path, f"{place} numbers, not {wrong[:30]!r}")
            rows.append(list(map(float, words)))
            if len(rows) > MOST_IN_TRACE:
                raise self.refuse(f"a component must have at most {MOST_IN_TRACE} points, not more")
        points = np.array(rows, dtype=np.float64)
        if np.abs(points).max() > FARTHEST:
            raise self.refuse(f"numbers must lie within {FARTHEST:g} of 0, not beyond")
        return points


@dataclass
class _Folder:
    """The folder that everything must lie in, and what has been read so far."""

    root: Path
    files: int = 0
    size: int = 0
    words: int = 0
    open: list[Path] = field(default_factory=list)


def statements(path: Path) -> Iterator[Statement]:
    """All statements of a file in their order, those of an included file in the place of its .INCLUDE.

    Only files in the folder of the first one, or below it, are included. Raises InkFileError.
    """
    try:
        folder = _Folder(path.parent.resolve())
    except (OSError, ValueError, RuntimeError) as error:  # a null character; links in a circle
        raise InkFileError(path, f"cannot be read: {error}") from error
    yield from _inside(path, folder)


def _inside(path: Path, folder: _Folder) -> Iterator[Statement]:
    text = read_text(path, largest=LARGEST_INK_FILE, encoding="latin-1", fault=InkFileError)
    folder.size += len(text)
    if folder.size > LARGEST_INK_FILE:
        raise InkFileError(path, f"must have at most {LARGEST_INK_FILE} bytes with all that came before it")
    text = text.replace("\r\n", "\n").replace("\r", "\n")
    folder.open.append(path.resolve())
    for statement in _split(path, text):
        folder.words += 1
        if folder.words > MOST_STATEMENTS:
            raise statement.refuse(f"a file must have at most {MOST_STATEMENTS} key words, not more")
        if statement.word == "INCLUDE":
            yield from _inside(_included(statement, folder), folder)
        else:
            yield statement
    folder.open.pop()


def _split(path: Path, text: str) -> Iterator[Statement]:
    """The statements of one text, one at a time; what stands before the first key word belongs to none."""
    line, at = 1, 0
    for match, after in pairwise(chain(KEY_WORD.finditer(text), [None])):
        assert match is not None  # only the last one is none
        line += text.count("\n", at, match.start())
        at = match.start()
        yield Statement(path, line, match[1], text[match.end() : after.start() if after else len(text)])


def _included(statement: Statement, folder: _Folder) -> Path:
    """The file that is to be included, once it is sure that it may be."""
    name = statement.text.strip().strip('"')
    if not name or "\n" in name:
        raise statement.refuse(".INCLUDE must name one file, not " + (repr(name[:30]) if name else "none"))
    try:
        path = statement.path.parent / name
        real = path.resolve()
    except (OSError, ValueError, RuntimeError) as error:
        raise statement.refuse(f".INCLUDE of {name[:60]!r} cannot be read: {error}") from error
    if not real.is_relative_to(folder.root):
        raise statement.refuse(f".INCLUDE must stay in the folder of the first file, not go to {name[:60]!r}")
    if real in folder.open:
        raise statement.refuse(
            f".INCLUDE must not lead back to a file that includes it, as {name[:60]!r} does"
        )
    folder.files += 1
    if folder.files > MOST_INCLUDED or len(folder.open) > MOST_NESTED:
        raise statement.refuse(
            f"at most {MOST_INCLUDED} files, {MOST_NESTED} deep, must be included, not more"
        )
    return path
