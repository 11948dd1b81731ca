"""Which alphabets there are, the shipped one and the teacher's own, and which one a group uses.

A fault in one letter stops no lesson: the letter is set aside, the others stay in use, and it is said.
"""

from __future__ import annotations

import os
from collections.abc import Callable, Iterable
from dataclasses import dataclass
from functools import cached_property, lru_cache
from pathlib import Path
from threading import Lock
from typing import TypeAlias

from strokes.alphabet import Alphabet, Usable, usable
from strokes.files import MARKS, SHIPPED, letter_files
from strokes.letter import Family
from trainer.language import text

PRINT = "print"
"""The shipped alphabet that is used where no other is chosen."""

SHIPPED_NAMES = (PRINT, "slanted")
"""The names of the shipped alphabets; no folder of the teacher's can take one of them."""

LETTERS_SAID, LONGEST_NAME = 5, 12
"""How many letters that are set aside are said, and how many characters of each: a file may have any name."""

Stamp: TypeAlias = tuple[tuple[str, int, int], ...]

_reading = Lock()


@dataclass(frozen=True)
class Used:
    """The alphabet that a group uses: how it was chosen, `alphabet` to teach and judge by, what to mend.

    `chosen` is what was set for the group. Where that is not there any more `name` is another; where nothing
    of that can be used, the shipped alphabet `stands_in` for it. Its `folder` is read when this is first
    asked for what is in it.
    """

    chosen: str
    name: str
    folder: Path

    @cached_property
    def contents(self) -> Usable:
        """What of its folder can be used."""
        return alphabet_in(self.folder)

    @property
    def stands_in(self) -> bool:
        """Whether nothing in its folder can be used."""
        return self.contents.alphabet is None

    @property
    def alphabet(self) -> Alphabet:
        """The letters to teach and to judge by."""
        if self.contents.alphabet is not None:
            return self.contents.alphabet
        shipped = alphabet_in(SHIPPED / PRINT).alphabet
        assert shipped is not None, "the shipped alphabet has no fault"
        return shipped

    def to_mend(self, group: str = "") -> list[str]:
        """What a grown-up should know of it, in a sentence each; nothing where all is well."""
        said = []
        if self.chosen != self.name:
            said.append(text("alphabet.aside.gone", group=group, chosen=self.chosen, alphabet=self.name))
        if self.folder.parent == SHIPPED:  # has no fault, as tests see to: it is not read for that
            return said
        if self.stands_in:
            said.append(text("alphabet.aside.instead", alphabet=self.name))
        elif self.contents.set_aside:
            names = [name[:LONGEST_NAME] for name in self.contents.set_aside]
            more = len(names) - LETTERS_SAID
            letters = ", ".join(names[:LETTERS_SAID])
            if more > 0:
                letters = text("alphabet.aside.more", letters=letters, count=more)
            key = "one" if len(names) == 1 else "many"
            said.append(text(f"alphabet.aside.{key}", letters=letters, alphabet=self.name))
        return said


class Alphabets:
    """The alphabet of each group: here alone it is decided which one that is.

    It is the one the record keeps for the group (`read_setting` reads its settings), else the teacher's own
    in the folder `own`, else the shipped one. An `own` that was `named` for this run is for every group.
    """

    def __init__(
        self, own: Path, read_setting: Callable[[str], str | None] | None = None, *, named: bool = False
    ) -> None:
        self.own = own if own.name else own.resolve()
        self.named = named
        self._read_setting = read_setting

    def all(self) -> dict[str, Path]:
        """Those that a group may use, by the name that is kept for it: the shipped ones first.

        `own` may be an alphabet itself, and each folder in it may be one more. Whether they can be read is
        not asked here: one that cannot is listed all the same, so that its fault is reported.
        """
        folders = {name: SHIPPED / name for name in SHIPPED_NAMES}
        for folder in (self.own, *_folders(self.own)):
            if folder.name not in folders and _holds_letters(folder):
                folders[folder.name] = folder
        return folders

    def of(self, group: str | None = None) -> Used:
        """What a group uses; without a group, what one uses that has no choice."""
        if self.named:
            return Used(self.own.name, self.own.name, self.own)
        there = self.all()
        usual = self.own.name if self.own.name in there else PRINT
        stored = self._read_setting(setting(group)) if group is not None and self._read_setting else None
        name = stored if stored in there else usual
        return Used(stored or name, name, there[name])

    def used_by(self, groups: Iterable[str]) -> tuple[Alphabet, ...]:
        """The alphabets that these groups write, each once; without groups, that of one without a choice."""
        used = {loaded.name: loaded.alphabet for loaded in map(self.of, groups)}
        return tuple(used.values()) or (self.of().alphabet,)

    def families(self, group: str) -> tuple[Family, ...]:
        """The movement families of the letters that a group writes."""
        return self.of(group).alphabet.families

    def for_judging(self, group: str) -> Alphabet:
        """The same for judging kept ink, where no other alphabet may replace it. Raises LetterFileError."""
        used = self.of(group)
        if used.stands_in:
            raise used.contents.faults[0]
        return used.alphabet

    def to_mend(self, groups: Iterable[str | None]) -> list[str]:
        """What a grown-up should know of the alphabets of these groups, each sentence once."""
        said = [sentence for group in groups for sentence in self.of(group).to_mend(group or "")]
        return list(dict.fromkeys(said))


def setting(group: str) -> str:
    """The name under which the record keeps the alphabet of a group."""
    return f"alphabet:{group}"


def alphabet_in(folder: Path) -> Usable:
    """What can be used of the alphabet in a folder, read anew when a file of it has changed.

    Who asks while another thread reads waits for that one.
    """
    stamp = _stamp(folder)
    with _reading:
        return _read(folder, stamp)


def _folders(own: Path) -> list[Path]:
    try:
        return sorted(entry for entry in own.iterdir() if entry.is_dir() and entry.name != MARKS)
    except OSError:
        return []


def _holds_letters(folder: Path) -> bool:
    """Whether it is an alphabet; what cannot be read counts, so that its fault is reported."""
    try:
        return bool(letter_files(folder))
    except OSError:
        return os.path.lexists(folder)


def _stamp(folder: Path) -> Stamp:
    """What changes when a file of the folder does."""
    try:
        files = sorted(folder.iterdir())
    except OSError:
        return ()
    return (*map(_stamp_of, files), *(_stamp(folder / MARKS) if folder.name != MARKS else ()))


def _stamp_of(file: Path) -> tuple[str, int, int]:
    try:
        status = file.stat()
    except OSError:  # a link that leads nowhere, or a file that has gone this moment
        return file.name, -1, -1
    return file.name, status.st_mtime_ns, status.st_size


@lru_cache(maxsize=8)
def _read(folder: Path, stamp: Stamp) -> Usable:  # noqa: ARG001 (part of the key)
    return usable(folder)
