"""Alphabets from folders: one SVG file a letter, and `alphabet.toml` for what concerns all of them.

A teacher adds a letter by dropping its SVG into her folder, under any name: its title is the letter. Without
`alphabet.toml` the guide lines are the usual ones, and a letter that the file does not name comes at the end
of the order and in no family.
"""

from __future__ import annotations

import tomllib
from collections import Counter
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from itertools import combinations
from pathlib import Path
from typing import Any

import numpy as np

from strokes.errors import LetterError, LetterFileError
from strokes.files.letter_svg import LetterReader
from strokes.files.shipped_files import shipped
from strokes.files.text_file import read_text
from strokes.letter import Family, Formation, GuideLines, Letter
from strokes.polyline import Polyline, resample

SHIPPED = shipped("strokes", "letters")
"""The alphabets that come with the program."""

TOML = "alphabet.toml"

MOST_LETTERS = 200

TOO_NEAR = 0.05
"""Mean distance in x-heights, of 64 points each, under which two letters are taken for the same drawing."""

_GUIDE = ("ascender", "x_height", "baseline", "descender")


def load_letter(path: Path | str) -> Letter:
    """The letter in an SVG file. Raises LetterFileError for the first fault in it."""
    reader = LetterReader(Path(path))
    letter = reader.read()
    if letter is None:
        raise reader.faults[0]
    return letter


def faults(folder: Path | str) -> list[str]:
    """One line a fault, `where: what must be, what is`; empty for a good alphabet."""
    reader = FolderReader(Path(folder))
    content = reader.read()
    lines = [str(fault) for fault in reader.faults]
    return lines if content is None or lines else _too_near(reader.files, content.letters)


def letter_files(folder: Path) -> list[Path]:
    """The files of a folder that are letters by their names, broken links among them. Raises OSError."""
    return sorted(file for file in folder.iterdir() if file.suffix.lower() == ".svg")


@dataclass(frozen=True)
class Content:
    """What a folder holds of an alphabet: its name, its letters by the alphabet, and what goes for all."""

    name: str
    letters: tuple[Letter, ...]
    guide: GuideLines
    families: tuple[Family, ...]
    order: tuple[str, ...]


@dataclass
class FolderReader:
    """Reads one folder and keeps every fault it meets."""

    folder: Path
    faults: list[LetterFileError] = field(default_factory=list)
    set_aside: set[str] = field(default_factory=set)
    files: dict[str, Path] = field(default_factory=dict)
    """The file of each letter, those set aside among them."""

    def read(self) -> Content | None:
        """Its letters without those that are `set_aside`, or None where none can be used."""
        try:
            files = letter_files(self.folder)
        except (OSError, ValueError) as error:  # ValueError: a name with a null character
            reason = getattr(error, "strerror", None) or error
            self._fault(self.folder, f"must be a folder of letters: {reason}")
            return None
        if not 1 <= len(files) <= MOST_LETTERS:
            self._fault(
                self.folder, f"must hold 1 to {MOST_LETTERS} SVG files, one a letter, not {len(files)}"
            )
            return None
        letters = {letter.name: letter for letter in map(self._letter, files) if letter}
        table = self._table(set(self.files))
        if table is None:
            return None
        self.set_aside |= table.missing
        usable = tuple(letters[name] for name in sorted(letters.keys() - self.set_aside))
        if not usable:
            return None
        families = tuple(
            Family(family.name, tuple(name for name in family.letters if name not in self.set_aside))
            for family in table.families
            if not self.set_aside.issuperset(family.letters) or not family.letters
        )
        order = tuple(name for name in table.order if name not in self.set_aside)
        rest = tuple(letter.name for letter in usable if letter.name not in order)
        return Content(table.name, usable, table.guide, families, order + rest)

    def _fault(self, path: Path, reason: str) -> None:
        self.faults.append(LetterFileError(path, reason))

    def _letter(self, file: Path) -> Letter | None:
        """The letter of a file; one with faults is set aside, and so is a letter that has two files."""
        reader = LetterReader(file)
        letter, name = reader.read(), reader.name
        self.faults += reader.faults
        if name in self.files:
            self._fault(file, f"must be the only file of {name!r}, {self.files[name].name} is one as well")
        if letter is None or name in self.files:
            self.set_aside.add(name)
        self.files[name] = file
        return letter

    def _table(self, names: set[str]) -> _Table | None:
        """What `alphabet.toml` says; the usual values without such a file, None where it has a fault."""
        path = self.folder / TOML
        if not path.exists() and not path.is_symlink():
            return _Table(self.folder.name)
        try:
            content = tomllib.loads(read_text(path))
        except LetterFileError as error:
            self.faults.append(error)
            return None
        except (tomllib.TOMLDecodeError, RecursionError) as error:
            self._fault(path, f"must be TOML: {error}")
            return None
        reader = _TableReader(content, names)
        table = reader.read(self.folder.name)
        for reason in (*reader.reasons, *reader.missing.values()):
            self._fault(path, reason)
        return None if reader.reasons else table


@dataclass(frozen=True)
class _Table:
    """What `alphabet.toml` holds."""

    name: str
    guide: GuideLines = field(default_factory=GuideLines)
    families: tuple[Family, ...] = ()
    order: tuple[str, ...] = ()
    missing: frozenset[str] = frozenset()


@dataclass
class _TableReader:
    """Reads the parsed `alphabet.toml`; `names` are the letters that have a file.

    `missing` are those that it names and that have none, with what is wrong.
    """

    content: dict[str, Any]
    names: set[str]
    reasons: list[str] = field(default_factory=list)
    missing: dict[str, str] = field(default_factory=dict)

    def read(self, usual_name: str) -> _Table:
        self._keys("", self.content, {"name", "guide", "family", "teaching"})
        name = self.content.get("name", usual_name)
        if not isinstance(name, str) or not name.strip() or len(name) > 60:
            self.reasons.append(f"name must be a short text, not {_show(name)}")
        teaching = self._dict("teaching")
        self._keys("teaching.", teaching, {"order"})
        order = self._letters("teaching.order", teaching.get("order", []))
        guide, families = self._guide(), self._families()
        return _Table(str(name), guide, families, order, frozenset(self.missing))

    def _keys(self, where: str, table: dict[str, Any], known: set[str]) -> None:
        for key in table:
            if key not in known:
                self.reasons.append(f"{where}{_show(key)} is not known; known are {', '.join(sorted(known))}")

    def _dict(self, key: str) -> dict[str, Any]:
        table = self.content.get(key, {})
        if isinstance(table, dict):
            return table
        self.reasons.append(f"{key} must be a table, not {_show(table)}")
        return {}

    def _guide(self) -> GuideLines:
        table = self._dict("guide")
        self._keys("guide.", table, set(_GUIDE))
        lines = {key: table[key] for key in _GUIDE if key in table}
        if not all(
            isinstance(value, (int, float)) and not isinstance(value, bool) for value in lines.values()
        ):
            self.reasons.append(f"guide lines must be numbers in x-heights, not {_show(lines)}")
            return GuideLines()
        if lines.get("x_height", -1) != -1 or lines.get("baseline", 0) != 0:
            self.reasons.append("guide: x_height must be -1 and baseline 0, as all lengths are in x-heights")
            return GuideLines()
        try:
            guide = GuideLines(**{key: float(value) for key, value in lines.items()})
        except (LetterError, OverflowError) as error:
            self.reasons.append(f"guide: {error}")
            return GuideLines()
        if guide.ascender < -5 or guide.descender > 5:
            self.reasons.append("guide: the lines must lie within 5 x-heights of the base line")
        return guide

    def _families(self) -> tuple[Family, ...]:
        tables = self.content.get("family", [])
        if not isinstance(tables, list) or not all(isinstance(table, dict) for table in tables):
            self.reasons.append("each family must be a [[family]] table with a name and its letters")
            return ()
        families = []
        for number, table in enumerate(tables, 1):
            where = f"family {number}"
            self._keys(f"{where}: ", table, {"name", "letters"})
            name = table.get("name")
            if not isinstance(name, str) or not name.strip() or len(name) > 60:
                self.reasons.append(f"{where}: name must be a short text, not {_show(name)}")
            families.append(Family(str(name), self._letters(f"{where}: letters", table.get("letters", []))))
        counts = Counter(letter for family in families for letter in family.letters)
        for letter in (letter for letter, count in counts.items() if count > 1):
            self.reasons.append(f"letter {letter!r} must stand in one family only, not in {counts[letter]}")
        return tuple(families)

    def _letters(self, where: str, value: object) -> tuple[str, ...]:
        """A list of letters that have a file, each once."""
        if not isinstance(value, list) or not all(isinstance(name, str) for name in value):
            self.reasons.append(f"{where} must be a list of letters, not {_show(value)}")
            return ()
        for name in dict.fromkeys(value):
            if name not in self.names:
                reason = f"{where} names {_show(name)}, which is the title of no file"
                self.missing.setdefault(name, reason)
            if value.count(name) > 1:
                self.reasons.append(f"{where} must name {_show(name)} once, not {value.count(name)} times")
        return tuple(dict.fromkeys(value))


def _show(value: object) -> str:
    """A value for a message, not endless."""
    shown = repr(value)
    return shown if len(shown) <= 40 else f"{shown[:40]}…"


def _too_near(files: Mapping[str, Path], letters: Sequence[Letter]) -> list[str]:
    """A line for each two letters of a set that have nearly the same drawing, with the formations that meet.

    Small letters, capitals and digits are sets: in plain print l, I and 1 are one line.
    """
    shapes = {letter.name: [_shape(formation) for formation in letter.formations] for letter in letters}
    lines = []
    for first_letter, second_letter in combinations(letters, 2):
        if _set(first_letter.name) != _set(second_letter.name):
            continue
        first, second = np.stack(shapes[first_letter.name]), np.stack(shapes[second_letter.name])
        gaps = np.linalg.norm(first[:, None] - second[None], axis=-1).mean(axis=-1)
        at, other = np.unravel_index(int(gaps.argmin()), gaps.shape)
        if gaps[at, other] < TOO_NEAR:
            lines.append(
                f"{files[second_letter.name]}: formation {second_letter.formations[other].name!r} "
                f"must differ from {first_letter.name!r}, formation {first_letter.formations[at].name!r}, "
                f"by at least {TOO_NEAR:g} x-heights, not {gaps[at, other]:.3f}"
            )
    return lines


def _set(name: str) -> tuple[bool, bool]:
    """Whether it is a digit, and whether it is a capital."""
    return name.isdigit(), name.isupper()


def _shape(formation: Formation) -> Polyline:
    """64 points along all strokes in their order, moved sideways so that the place does not count."""
    line = np.vstack([resample(stroke.path, 64) for stroke in formation.strokes])
    line = resample(line, 64)
    return line - (line[:, 0].mean(), 0.0)
