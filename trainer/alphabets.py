"""Which alphabets there are, the shipped one and the teacher's own, and which one a group uses."""

from __future__ import annotations

from functools import lru_cache
from pathlib import Path
from typing import TypeAlias

from strokes.errors import LetterFileError
from strokes.letter import Alphabet
from strokes.letterfile import SHIPPED, load_alphabet

PRINT = "print"
"""The name of the shipped alphabet; no folder of the teacher's can take it."""

Stamp: TypeAlias = tuple[tuple[str, int, int], ...]


def alphabets(own: Path) -> dict[str, Path]:
    """The alphabets that a group may use, by the name that is kept for it: the shipped one first.

    `own` is the teacher's folder: it may be an alphabet itself, and each folder in it may be one more.
    Whether they can be read is not asked here.
    """
    found = {PRINT: SHIPPED / PRINT}
    inside = sorted(entry for entry in own.iterdir() if entry.is_dir()) if own.is_dir() else []
    for folder in (own, *inside):
        if folder.name not in found and any(folder.glob("*.svg")):
            found[folder.name] = folder
    return found


def setting(group: str) -> str:
    """The name under which the record keeps the alphabet of a group."""
    return f"alphabet:{group}"


def used(own: Path, kept: str | None) -> str:
    """The name of the alphabet a group uses when the record keeps `kept` for it.

    One that is no longer there counts as no choice, and without a choice the teacher's own comes first.
    """
    there = alphabets(own)
    if kept in there:
        return kept
    return own.name if own.name in there else PRINT


def alphabet_used(own: Path, kept: str | None) -> Alphabet:
    """That alphabet; one that cannot be read gives way to the shipped one, so that a lesson goes on.

    What must be mended in it is told by the desk and by `trainer alphabet check`.
    """
    there = alphabets(own)
    try:
        return alphabet_in(there[used(own, kept)])
    except LetterFileError:
        return alphabet_in(there[PRINT])


def alphabet_in(folder: Path) -> Alphabet:
    """The alphabet in a folder, read anew when a file of it has changed. Raises LetterFileError."""
    return _read(folder, _stamp(folder))


def _stamp(folder: Path) -> Stamp:
    """What changes when a file of the folder does."""
    files = sorted(folder.iterdir()) if folder.is_dir() else []
    return tuple((file.name, file.stat().st_mtime_ns, file.stat().st_size) for file in files)


@lru_cache(maxsize=8)
def _read(folder: Path, stamp: Stamp) -> Alphabet:  # noqa: ARG001 (part of the key)
    return load_alphabet(folder)
