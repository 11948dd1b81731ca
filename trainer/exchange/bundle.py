"""Files from outside that come together, in a zip or from a folder: only those that are asked for, bounded.

Nothing is unpacked to the disk. An entry that nobody asks for is never read, whatever it holds.
"""

from __future__ import annotations

import io
import zipfile
import zlib
from collections.abc import Collection, Iterator, Sequence
from contextlib import contextmanager
from pathlib import PurePosixPath
from typing import IO

from trainer.errors import RosterError

LARGEST_FILE = 8 * 1024 * 1024
"""Bytes of one file. The people of a school of 2000 take about half a megabyte."""

HIGHEST_RATIO = 200
"""How far a zip may have packed a file: tables of names pack to about a fifth, a trap to a thousandth."""

SMALL = 64 * 1024
"""Bytes up to which the ratio does not matter."""

MOST_ENTRIES = 100
"""A set has 14 files at most; some systems put as many of their own beside them."""

_UNREADABLE = (zipfile.BadZipFile, zlib.error, EOFError, ValueError, NotImplementedError)
"""What zipfile raises for bytes in memory that are no whole zip: ValueError for a place before the beginning
or a name that is no UTF-8, NotImplementedError for a later version, a patch, or strong encryption."""

_ENCRYPTED = 0x1
_PACKINGS = (zipfile.ZIP_STORED, zipfile.ZIP_DEFLATED)
_LEFTOVERS = ("__MACOSX",)
"""A folder that one system puts into every zip, with a shadow of each file."""


def is_zip(content: bytes) -> bool:
    """Whether the bytes begin as a zip does; nothing more is known of them."""
    return content.startswith(b"PK")


def from_zip(content: bytes, wanted: Collection[str], *, name: str = "the zip") -> dict[str, bytes]:
    """The wanted files of a zip by name; they may lie in one folder of it. Those not in it are left out.

    Raises RosterError for what is no zip, holds a wanted file twice, or is made to do harm.
    """
    with opened(content, name) as archive:
        every = entries(archive, name)
        return {
            base: read_entry(archive, entry, name) for base, entry in _chosen(every, wanted, name).items()
        }


@contextmanager
def opened(content: bytes, name: str) -> Iterator[zipfile.ZipFile]:
    """A zip to be read from with `entries` and `read_entry`. Raises RosterError where it is broken."""
    with _unbroken(name):
        archive = zipfile.ZipFile(io.BytesIO(content))
    with archive:
        yield archive


@contextmanager
def _unbroken(name: str) -> Iterator[None]:
    """What zipfile raises in the block comes out as RosterError; the block is zipfile's own work alone."""
    try:
        yield
    except _UNREADABLE as error:
        raise RosterError(f"{name}: must be a whole zip, and it cannot be read: {error!s:.120}") from error


def from_uploads(uploads: Sequence[tuple[str, IO[bytes]]], wanted: Collection[str]) -> dict[str, bytes]:
    """The wanted files among those handed in: a zip alone, or a folder's files. No other file is read.

    Raises RosterError for a wanted file that comes twice, is too large, or hides in a zip beside others.
    """
    if len(uploads) == 1:
        name, file = uploads[0]
        content = file.read()
        if is_zip(content):
            return from_zip(content, wanted, name=name)
        uploads = [(name, io.BytesIO(content))]
    contents: dict[str, bytes] = {}
    for name, file in uploads:
        base = PurePosixPath(name.replace("\\", "/")).name
        if base.lower().endswith(".zip"):
            raise RosterError(
                f"{name}: a zip must be handed in alone, and {len(uploads)} files came together"
            )
        if base in contents:
            raise RosterError(f"{name}: {base} must be handed in once, and it came twice")
        if base in wanted:
            contents[base] = small_enough(file.read(LARGEST_FILE + 1), name)
    return contents


def entries(archive: zipfile.ZipFile, name: str, most: int = MOST_ENTRIES) -> list[zipfile.ZipInfo]:
    """The files of a zip, without folders. The names are looked at although no file is made by them.

    Raises RosterError for more than `most`, and for names that lead elsewhere.
    """
    every = archive.infolist()
    if len(every) > most:
        raise RosterError(f"{name}: must hold at most {most} files, not {len(every)}")
    for entry in every:
        way = PurePosixPath(entry.filename.replace("\\", "/"))
        if not entry.filename or way.is_absolute() or ".." in way.parts or ":" in entry.filename:
            raise RosterError(f"{name}: must hold plain file names, not {entry.filename!r}")
    return [entry for entry in every if not entry.is_dir()]


def _chosen(entries: list[zipfile.ZipInfo], wanted: Collection[str], name: str) -> dict[str, zipfile.ZipInfo]:
    chosen: dict[str, zipfile.ZipInfo] = {}
    for entry in entries:
        way = PurePosixPath(entry.filename)
        if way.name not in wanted or way.parts[0] in _LEFTOVERS:
            continue
        if way.name in chosen:
            raise RosterError(f"{name}: must hold {way.name} once, and it holds it twice")
        chosen[way.name] = entry
    inner = [entry.filename for entry in entries if entry.filename.lower().endswith(".zip")]
    if inner and not chosen:
        raise RosterError(
            f"{name}: must hold the tables, and it holds another zip; hand in {inner[0]!r} itself"
        )
    return chosen


def read_entry(
    archive: zipfile.ZipFile, entry: zipfile.ZipInfo, name: str, largest: int | None = None
) -> bytes:
    """The content of one file of a zip. Raises RosterError for more than `largest` bytes, and for a trap."""
    largest = largest or LARGEST_FILE
    where = f"{name}: {entry.filename}"
    if entry.flag_bits & _ENCRYPTED:
        raise RosterError(f"{where} must not be locked with a password, and it is")
    if entry.compress_type not in _PACKINGS:
        raise RosterError(f"{where} must be packed in the common way (deflate), and it is not")
    # What the zip says of itself is only believed when it is bad: the reading is bounded as well.
    if entry.file_size > max(SMALL, HIGHEST_RATIO * entry.compress_size):
        raise RosterError(f"{where} must not be packed more than {HIGHEST_RATIO} to 1, and it is")
    with _unbroken(name), archive.open(entry) as file:
        content = file.read(largest + 1)
    return small_enough(content, where, largest)


def small_enough(content: bytes, where: str, largest: int | None = None) -> bytes:
    """The content. Raises RosterError where it has more than `largest` bytes."""
    largest = largest or LARGEST_FILE
    if len(content) > largest:
        most = f"{largest // 1024**2} MB" if largest >= 1024**2 else f"{largest // 1024} kB"
        raise RosterError(f"{where} must have at most {most}, and it has more")
    return content
