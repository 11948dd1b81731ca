"""Alphabets from folders: one SVG file a letter, and `alphabet.toml` for what concerns all of them.

A teacher adds a letter by dropping its SVG into her folder, under any name: its title is the letter. Without
`alphabet.toml` the guide lines are the usual ones, and a letter that the file does not name comes at the end
of the order and in no family. One that is composed, or named by `teaching.planned_only`, has no place in it.
"""

from __future__ import annotations

import tomllib
from collections import Counter
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from functools import lru_cache
from itertools import combinations
from pathlib import Path
from typing import Any
from unicodedata import normalize

import numpy as np

from strokes.errors import LetterError, LetterFileError
from strokes.files.letter_svg import SHORTEST_STROKE, LetterReader, wrong_name
from strokes.files.marks import FARTHEST_SHIFT, LONGEST_MARK_NAME, MARKS, Composition, compose
from strokes.files.shipped_files import shipped
from strokes.files.text_file import read_text
from strokes.letter import Family, Formation, GuideLines, Letter
from strokes.polyline import Polyline, resample

SHIPPED = shipped("strokes", "letters")
"""The alphabets that come with the program."""

TOML = "alphabet.toml"

MOST_LETTERS = 200
MOST_MARKS = 50
LONGEST_NAME = 60
"""Characters of an alphabet's or a family's name."""

MOST_DOTS = 300
"""In a line of `alphabet.toml`: a name of so many parts takes memory by the square of their number."""

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
    if content is None or lines:
        return lines
    return _too_near(reader.files, content.letters)


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
        self.set_aside |= table.set_aside
        letters |= self._composed(letters, table.composed)
        usable = tuple(letters[name] for name in sorted(letters.keys() - self.set_aside))
        if not usable:
            return None
        families = tuple(
            Family(family.name, tuple(name for name in family.letters if name not in self.set_aside))
            for family in _with_composed(table)
            if not self.set_aside.issuperset(family.letters) or not family.letters
        )
        order = tuple(name for name in table.order if name not in self.set_aside)
        placed = {*order, *table.planned_only}
        rest = tuple(letter.name for letter in usable if letter.name not in placed and not letter.base)
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

    def _composed(
        self, letters: Mapping[str, Letter], wanted: Mapping[str, Composition]
    ) -> dict[str, Letter]:
        """The letters with marks; one is set aside where its base or its mark is.

        One that has a file as well is the letter in the file: whoever writes that, and then takes the line
        out of the table, may be stopped in between.
        """
        marks = self._marks() if wanted else {}
        composed = {}
        for name, parts in wanted.items():
            where = f"composed.{_show(name)}"
            if name in self.files:
                self._fault(self.folder / TOML, f"{where} must have no file, it has {self.files[name].name}")
            elif parts.base not in self.files:
                why = "is composed itself" if parts.base in wanted else "is the title of no file"
                self._fault(self.folder / TOML, f"{where} must have a drawn base, {_show(parts.base)} {why}")
            elif parts.mark not in marks:
                there = ", ".join(sorted(marks)) or "none"
                self._fault(
                    self.folder / TOML,
                    f"{where} must have one of the marks in {MARKS} ({there}), not {_show(parts.mark)}",
                )
            elif (base := letters.get(parts.base)) and (mark := marks[parts.mark]):
                composed[name] = compose(name, base, mark, parts.shift)
        self.set_aside |= wanted.keys() - composed.keys() - self.files.keys()
        return composed

    def _marks(self) -> dict[str, Letter | None]:
        """The marks in the folder of marks by name; None for one with a fault."""
        try:
            files = letter_files(self.folder / MARKS)[:MOST_MARKS]
        except OSError:  # it is told of each letter that asks for a mark
            return {}
        marks: dict[str, Letter | None] = {}
        for file in files:
            reader = LetterReader(file, smallest=SHORTEST_STROKE, longest_name=LONGEST_MARK_NAME)
            mark = reader.read()
            self.faults += reader.faults
            if reader.name in marks:
                self._fault(file, f"must be the only file of the mark {reader.name!r}")
            marks[reader.name] = None if reader.name in marks else mark
        return marks

    def _table(self, names: set[str]) -> _Table | None:
        """What `alphabet.toml` says; the usual values without such a file, None where it has a fault."""
        path = self.folder / TOML
        if not path.exists() and not path.is_symlink():
            return _Table(self.folder.name)
        try:
            written = read_text(path)
            if any(line.count(".") > MOST_DOTS for line in written.splitlines()):
                raise LetterFileError(path, f"a line must have at most {MOST_DOTS} dots, not more")
            content = tomllib.loads(written)
        except LetterFileError as error:
            self.faults.append(error)
            return None
        except (ValueError, RecursionError) as error:  # TOMLDecodeError, and a number of thousands of digits
            self._fault(path, f"must be TOML: {str(error)[:200]}")
            return None
        reader = _TableReader(content, names)
        table = reader.read(self.folder.name)
        for reason in (*reader.reasons, *reader.set_aside.values()):
            self._fault(path, reason)
        return None if reader.reasons else table


@dataclass(frozen=True)
class _Table:
    """What `alphabet.toml` holds."""

    name: str
    guide: GuideLines = field(default_factory=GuideLines)
    families: tuple[Family, ...] = ()
    order: tuple[str, ...] = ()
    planned_only: tuple[str, ...] = ()
    composed: Mapping[str, Composition] = field(default_factory=dict)
    set_aside: frozenset[str] = frozenset()


@dataclass
class _TableReader:
    """Reads the parsed `alphabet.toml`; `names` are the letters that have a file.

    `set_aside` are those that it names and that cannot be had, with what is wrong.
    """

    content: dict[str, Any]
    names: set[str]
    reasons: list[str] = field(default_factory=list)
    set_aside: dict[str, str] = field(default_factory=dict)

    def read(self, usual_name: str) -> _Table:
        self._keys("", self.content, {"name", "guide", "family", "teaching", "composed"})
        name = self._name("", self.content.get("name", usual_name))
        composed = self._composed()
        teaching = self._dict("teaching")
        self._keys("teaching.", teaching, {"order", "planned_only"})
        order = self._letters("teaching.order", teaching.get("order", []))
        planned_only = self._letters("teaching.planned_only", teaching.get("planned_only", []))
        guide, families = self._guide(), self._families()
        return _Table(name, guide, families, order, planned_only, composed, frozenset(self.set_aside))

    def _name(self, where: str, name: object) -> str:
        """The name of the alphabet or of a family; empty where it is none."""
        if isinstance(name, str) and name.strip() and name.isprintable() and len(name) <= LONGEST_NAME:
            return name
        self.reasons.append(f"{where}name must be a short text, not {_show(name)}")
        return ""

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

    def _composed(self) -> dict[str, Composition]:
        """What each letter with a mark is composed from; one of which that is not clear is set aside."""
        table, composed = self._dict("composed"), {}
        if len(table) > MOST_LETTERS:
            self.reasons.append(f"composed must have at most {MOST_LETTERS} letters, not {len(table)}")
            return {}
        for key, value in table.items():
            name = normalize("NFC", key)
            wrong = wrong_name(name) or _wrong_composition(value)
            if name in composed:
                wrong = "must stand there once"
            if wrong:
                self.set_aside[name] = f"composed.{_show(key)}: {wrong}"
            else:
                right, down = value.get("shift", (0.0, 0.0))
                base = normalize("NFC", value["base"])
                composed[name] = Composition(base, value["mark"], (float(right), float(down)))
        self.names = self.names | composed.keys() | self.set_aside.keys()
        return composed

    def _families(self) -> tuple[Family, ...]:
        tables = self.content.get("family", [])
        if not isinstance(tables, list) or not all(isinstance(table, dict) for table in tables):
            self.reasons.append("each family must be a [[family]] table with a name and its letters")
            return ()
        if len(tables) > MOST_LETTERS:
            self.reasons.append(f"there must be at most {MOST_LETTERS} families, not {len(tables)}")
            return ()
        families = []
        for number, table in enumerate(tables, 1):
            where = f"family {number}"
            self._keys(f"{where}: ", table, {"name", "letters"})
            name = self._name(f"{where}: ", table.get("name"))
            families.append(Family(name, self._letters(f"{where}: letters", table.get("letters", []))))
        counts = Counter(letter for family in families for letter in family.letters)
        for letter in (letter for letter, count in counts.items() if count > 1):
            self.reasons.append(f"letter {letter!r} must stand in one family only, not in {counts[letter]}")
        return tuple(families)

    def _letters(self, where: str, value: object) -> tuple[str, ...]:
        """A list of letters that have a file, each once."""
        if not isinstance(value, list) or not all(isinstance(name, str) for name in value):
            self.reasons.append(f"{where} must be a list of letters, not {_show(value)}")
            return ()
        if len(value) > 2 * MOST_LETTERS:  # drawn ones and those with marks
            self.reasons.append(f"{where} must name at most {2 * MOST_LETTERS} letters, not {len(value)}")
            return ()
        for name, count in Counter(value).items():
            if name not in self.names:
                reason = f"{where} names {_show(name)}, which is the title of no file"
                self.set_aside.setdefault(name, reason)
            if count > 1:
                self.reasons.append(f"{where} must name {_show(name)} once, not {count} times")
        return tuple(dict.fromkeys(value))


def _wrong_composition(value: object) -> str:
    """What is wrong with the line of a letter with a mark; empty where it is clear."""
    if not isinstance(value, dict) or not {"base", "mark"} <= value.keys() <= {"base", "mark", "shift"}:
        return f'must be {{ base = "…", mark = "…" }}, with a shift if need be, not {_show(value)}'
    if not all(isinstance(value[key], str) for key in ("base", "mark")):
        return f"base and mark must be names, not {_show(value)}"
    shift = value.get("shift", [0, 0])
    if (
        not isinstance(shift, list)
        or len(shift) != 2
        or not all(isinstance(x, (int, float)) and abs(x) <= FARTHEST_SHIFT for x in shift)
    ):
        return f"shift must be two numbers of at most {FARTHEST_SHIFT:g} x-heights, not {_show(shift)}"
    return ""


def _with_composed(table: _Table) -> tuple[Family, ...]:
    """The families, where a letter with a mark that none names follows its base."""
    named = {name for family in table.families for name in family.letters}
    following: dict[str, list[str]] = {}
    for name, parts in table.composed.items():
        if name not in named:
            following.setdefault(parts.base, []).append(name)
    return tuple(
        Family(
            family.name, tuple(each for name in family.letters for each in (name, *following.get(name, ())))
        )
        for family in table.families
    )


def _show(value: object) -> str:
    """A value for a message, not endless."""
    try:
        shown = repr(value)
    except (ValueError, RecursionError):  # a number of thousands of digits, as a hexadecimal one may be
        return "a value too large to be shown"
    return shown if len(shown) <= 40 else f"{shown[:40]}…"


def _too_near(files: Mapping[str, Path], letters: Sequence[Letter]) -> list[str]:
    """A line for each two letters of one set that are nearly the same drawing, with their formations."""
    return [
        f"{files[second.name]}: formation {same.other_formation!r} must differ "
        f"from {first.name!r}, formation {same.formation!r}, "
        f"by at least {TOO_NEAR:g} x-heights, not {same.gap:.3f}"
        for first, second in combinations(letters, 2)
        for same in same_drawings(first, [second])
        if same.one_set
    ]


@dataclass(frozen=True)
class SameDrawing:
    """A formation of another letter that is nearly the same drawing as one of a letter; `gap` in x-heights.

    Small letters, capitals and digits are sets: in plain print l, I and 1 are one line. `one_set` tells
    whether both letters are in one, which is a fault.
    """

    formation: str
    other: str
    other_formation: str
    gap: float
    one_set: bool


def same_drawings(letter: Letter, others: Iterable[Letter]) -> Iterator[SameDrawing]:
    """Those of `others` that are nearly the same drawing as `letter`, each with the formations that meet.

    Letters composed with marks are left out: beside their base a mark is small, and é and ê are near by it.
    """
    if letter.base:
        return
    first = np.stack([_shape(formation) for formation in letter.formations])
    for other in others:
        if other.base:
            continue
        second = np.stack([_shape(formation) for formation in other.formations])
        gaps = np.linalg.norm(first[:, None] - second[None], axis=-1).mean(axis=-1)
        at, there = np.unravel_index(int(gaps.argmin()), gaps.shape)
        if gaps[at, there] < TOO_NEAR:
            yield SameDrawing(
                letter.formations[at].name,
                other.name,
                other.formations[there].name,
                float(gaps[at, there]),
                letter.set == other.set,
            )


@lru_cache(maxsize=4096)
def _shape(formation: Formation) -> Polyline:
    """64 points along all strokes in their order, moved sideways so that the place does not count."""
    line = np.vstack([resample(stroke.path, 64) for stroke in formation.strokes])
    line = resample(line, 64)
    return line - (line[:, 0].mean(), 0.0)
