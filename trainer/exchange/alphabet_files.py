"""An alphabet as a zip or a folder: out for a colleague, and in from a stranger, bounded.

Only letters, marks and `alphabet.toml` go either way: drafts and the history of letters stay. Nothing of what
comes in is written here.
"""

from __future__ import annotations

import io
import re
import zipfile
from collections.abc import Iterable, Mapping, Sequence
from pathlib import Path, PurePosixPath
from typing import IO
from unicodedata import normalize

from strokes.files import MARKS, TOML, letter_files
from trainer.errors import PlaceError, RosterError
from trainer.exchange import bundle
from trainer.places import is_reserved

MOST_FILES = 1000
"""In a zip or a folder, with those that are passed over: a folder may have the history of its letters."""

MOST_LETTERS = 260
"""Letters, marks and the table together: more than any alphabet may have."""

LARGEST_FILE = 256 * 1024
"""Bytes of one file, as for any letter."""

LARGEST_TOGETHER = 8 * 1024 * 1024
"""Bytes of all of them: the 200 letters that an alphabet may have take about one megabyte."""

_NAME = re.compile(r"[\w .()+'-]{1,80}\.svg", re.IGNORECASE)
"""What a letter's file may be called on any system."""

_PASSED_OVER = ("__MACOSX", "history", "drafts")
"""Folders beside the letters that are no letters."""


def alphabet_zip(folder: Path) -> bytes:
    """The alphabet in a folder as a zip. Raises PlaceError when it cannot be read."""
    packed = io.BytesIO()
    try:
        files = [*letter_files(folder), folder / TOML]
        if (folder / MARKS).is_dir():
            files += letter_files(folder / MARKS)
        with zipfile.ZipFile(packed, "w", zipfile.ZIP_DEFLATED) as archive:
            for file in files:
                if file.is_file():
                    entry = zipfile.ZipInfo(f"{folder.name}/{file.relative_to(folder).as_posix()}")
                    entry.compress_type = (
                        zipfile.ZIP_DEFLATED
                    )  # without the time it was made: the same zip again
                    archive.writestr(entry, file.read_bytes())
    except OSError as error:
        raise PlaceError(f"{folder}: the alphabet cannot be read: {error.strerror}") from error
    return packed.getvalue()


def from_uploads(uploads: Sequence[tuple[str, IO[bytes]]]) -> dict[str, bytes]:
    """The files of an alphabet among those handed in: a zip alone, or a folder's files.

    Keys are `name.svg`, `marks/name.svg` and `alphabet.toml`. Raises RosterError for what holds none, holds
    one twice, is too large, or has a name that no letter's file has.
    """
    if len(uploads) == 1:
        name, file = uploads[0]
        content = file.read()
        if bundle.is_zip(content):
            return _from_zip(content, name)
        return _checked({_place(name): bundle.small_enough(content, name, LARGEST_FILE)}, name)
    files: dict[str, bytes] = {}
    for name, file in uploads[:MOST_FILES]:
        if place := _place(name):
            _once(place, files, name)
            files[place] = bundle.small_enough(file.read(LARGEST_FILE + 1), name, LARGEST_FILE)
            _together(files, name)
    return _checked(files, uploads[0][0] if uploads else "")


def _from_zip(content: bytes, name: str) -> dict[str, bytes]:
    files: dict[str, bytes] = {}
    with bundle.opened(content, name) as archive:
        for entry in bundle.entries(archive, name, MOST_FILES):
            if place := _place(entry.filename):
                _once(place, files, name)
                files[place] = bundle.read_entry(archive, entry, name, LARGEST_FILE)
                _together(files, name)
    return _checked(files, name)


def _place(name: str) -> str:
    """Where a file belongs in an alphabet's folder; empty for one that is passed over.

    Some systems hand in é as e and an accent: here it is one character, so that two such names are one.
    """
    parts = PurePosixPath(normalize("NFC", name).replace("\\", "/")).parts
    if not parts or any(part in _PASSED_OVER for part in parts) or parts[-1].startswith("."):
        return ""
    if parts[-1] == TOML:
        return TOML
    if not parts[-1].lower().endswith(".svg"):
        return ""
    if not _NAME.fullmatch(parts[-1]) or is_reserved(parts[-1]):
        raise RosterError(f"{name[:80]!r}: a letter's file must have a plain name, such as a.svg")
    return f"{MARKS}/{parts[-1]}" if parts[-2:-1] == (MARKS,) else parts[-1]


def _once(place: str, places: Iterable[str], name: str) -> None:
    """Raises RosterError for a second file of one name, in whatever case: some systems know only one."""
    if place.lower() in {other.lower() for other in places}:
        raise RosterError(f"{name}: must hold one alphabet, and it holds {place} twice")


def _together(files: Mapping[str, bytes], name: str) -> None:
    """Raises RosterError for too much, before more of it is read."""
    if sum(map(len, files.values())) > LARGEST_TOGETHER:
        raise RosterError(f"{name}: all files together must have at most {LARGEST_TOGETHER // 1024**2} MB")


def _checked(files: Mapping[str, bytes], name: str) -> dict[str, bytes]:
    letters = [place for place in files if place.lower().endswith(".svg") and not place.startswith(MARKS)]
    if not letters:
        raise RosterError(
            f"{name or 'what was handed in'}: must hold SVG files of letters, and there are none"
        )
    if len(files) > MOST_LETTERS:
        raise RosterError(f"{name}: must hold at most {MOST_LETTERS} letters and marks, not {len(files)}")
    return {place: content for place, content in files.items() if place}
