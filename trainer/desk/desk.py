"""What the pages stand on: the record, the alphabets, and the time of day."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from datetime import UTC, datetime
from functools import lru_cache
from pathlib import Path

from flask import current_app

from strokes.errors import LetterFileError
from strokes.letter import Alphabet
from strokes.letterfile import load_alphabet
from trainer import ownletters
from trainer.record import Record

NAME = "desk"
"""Where the app keeps its Desk."""


def _now() -> datetime:
    return datetime.now(UTC)


@dataclass(frozen=True)
class Desk:
    """The record on the desk, with the folder of the teacher's own letters; `clock` is a seam for tests."""

    record: Record
    letters_folder: Path
    clock: Callable[[], datetime] = _now

    def now(self) -> datetime:
        """This moment, with its time zone."""
        return self.clock()

    def alphabet(self, group: str | None = None) -> Alphabet:
        """The alphabet that the group uses; without a group, or a choice, the one that practice opens.

        One that cannot be read gives way to the shipped one; the page of the alphabet tells what to mend.
        """
        there = ownletters.alphabets(self.letters_folder)
        kept = self.record.setting(ownletters.setting(group)) if group is not None else None
        folder = there[ownletters.used(self.letters_folder, kept)]
        try:
            return alphabet_in(folder)
        except LetterFileError:
            return alphabet_in(there[ownletters.PRINT])


def desk() -> Desk:
    """The Desk of the request that is being answered."""
    found: Desk = current_app.extensions[NAME]
    return found


def alphabet_in(folder: Path) -> Alphabet:
    """The alphabet in a folder, read anew when a file of it has changed. Raises LetterFileError."""
    return _loaded(folder, _stamp(folder))


def _stamp(folder: Path) -> tuple[tuple[str, int, int], ...]:
    """What changes when a file of the folder does."""
    files = sorted(folder.iterdir()) if folder.is_dir() else []
    return tuple((file.name, file.stat().st_mtime_ns, file.stat().st_size) for file in files)


@lru_cache(maxsize=8)
def _loaded(folder: Path, stamp: tuple[tuple[str, int, int], ...]) -> Alphabet:  # noqa: ARG001 (part of the key)
    return load_alphabet(folder)
