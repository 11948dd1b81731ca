"""Text and XML files that a stranger may have made: bounded, in a known encoding, and with no DTD.

What is wrong is raised as the error of the one who asks: LetterFileError for a letter, InkFileError for ink.
"""

from __future__ import annotations

import stat
from codecs import getincrementaldecoder
from collections import Counter
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import BinaryIO, Literal, TypeAlias
from xml.etree.ElementTree import Element, ParseError

from defusedxml import DefusedXmlException, DTDForbidden
from defusedxml.ElementTree import fromstring, iterparse

from strokes.errors import LetterFileError

LARGEST_FILE = 256 * 1024
"""Bytes. A letter with ten formations takes about 5 kB."""

MOST_MARKS = 400_000
"""How often < or = may stand in one XML file, each: an element or an attribute takes twenty times the room
in memory that it takes in the file."""

Event: TypeAlias = Literal["start", "end"]
"""Whether an element begins, its attributes known, or ends, with all that is in it."""

Fault = Callable[[Path, str], Exception]
"""Makes the error for a file and what is wrong with it."""


def read_text(
    path: Path, *, largest: int = LARGEST_FILE, encoding: str = "utf-8-sig", fault: Fault = LetterFileError
) -> str:
    """The text of the file at `path`. Raises `fault` unless it is an ordinary file that is small enough."""
    with _opened(path, largest, fault) as file:
        raw = file.read(largest + 1)
    if len(raw) > largest:
        raise fault(path, f"must have at most {largest} bytes, not more")
    try:
        return raw.decode(encoding)
    except UnicodeDecodeError as error:
        raise fault(path, f"must be UTF-8 text; byte {error.start + 1} is not") from error


@contextmanager
def _opened(path: Path, largest: int, fault: Fault) -> Iterator[BinaryIO]:
    """An ordinary file that is small enough, to be read from."""
    try:
        status = path.stat()  # asked first: opening a pipe would wait for ever
        if not stat.S_ISREG(status.st_mode):
            kind = "a folder" if stat.S_ISDIR(status.st_mode) else "a device or pipe"
            raise fault(path, f"must be a file, not {kind}")
        if status.st_size > largest:
            raise fault(path, f"must have at most {largest} bytes, not {status.st_size}")
        with path.open("rb") as file:
            yield file
    except OSError as error:
        raise fault(path, f"cannot be read: {error.strerror or error}") from error
    except ValueError as error:  # a name with a null character
        raise fault(path, f"cannot be read: {error}") from error


def stream_xml(path: Path, *, largest: int, fault: Fault) -> Iterator[tuple[Event, Element]]:
    """Where each element of the XML file at `path` begins and ends, in the order of the file, as it is read.

    The reader takes out of its parent what it is done with, else all of it is in memory at last. Raises
    `fault` as `xml_root` does.
    """
    with _opened(path, largest, fault) as file, _as_faults(path, fault):
        yield from iterparse(_Watched(path, file, largest, fault), ("start", "end"), forbid_dtd=True)


class _Watched:
    """An XML file that is read piece by piece: text in UTF-8, with bounds on what takes room in memory."""

    def __init__(self, path: Path, file: BinaryIO, largest: int, fault: Fault) -> None:
        self._path, self._file, self._fault = path, file, fault
        self._decoder = getincrementaldecoder("utf-8-sig")()
        self._left, self._before = largest, ""
        self._marks = Counter[str]()

    def read(self, size: int = 65536) -> str:
        """The next piece; the last one is empty."""
        raw = self._file.read(size)
        self._left -= len(raw)
        if self._left < 0:
            raise self._fault(self._path, "must not grow while it is read")
        try:
            piece = self._decoder.decode(raw, final=not raw)
        except UnicodeDecodeError as error:
            raise self._fault(self._path, "must be UTF-8 text") from error
        _watch(self._path, piece, self._marks, self._fault, before=self._before)
        self._before = piece[-len(_STYLE_SHEET) :]
        # an empty piece would end the file: a character may be cut between two pieces
        return piece if piece or not raw else self.read(size)


_STYLE_SHEET = "<?xml-stylesheet"


def _watch(path: Path, piece: str, marks: Counter[str], fault: Fault, *, before: str = "") -> None:
    """Raises `fault` for a style sheet in a piece of XML, and for too many elements or attributes so far."""
    if _STYLE_SHEET in before + piece:
        raise fault(path, "must have no style sheet from outside the file")
    for mark in "<=":
        marks[mark] += piece.count(mark)
        if marks[mark] > MOST_MARKS:
            raise fault(path, f"must have {mark} at most {MOST_MARKS} times, not more")


@contextmanager
def _as_faults(path: Path, fault: Fault) -> Iterator[None]:
    """What the parser raises comes out as `fault`."""
    try:
        yield
    except DTDForbidden as error:
        raise fault(path, "must have no DOCTYPE, as it can pull in other files") from error
    except DefusedXmlException as error:
        raise fault(path, "must have no entities and nothing from outside the file") from error
    except (ParseError, ValueError, LookupError) as error:  # the last two for an odd encoding
        raise fault(path, f"must be well-formed XML: {error}") from error


def xml_root(text: str, path: Path, fault: Fault = LetterFileError) -> Element:
    """The root element of the XML text that was read from `path`; defusedxml stops at a DTD.

    Raises `fault` for what is not well formed, or asks for anything outside.
    """
    _watch(path, text, Counter(), fault)
    with _as_faults(path, fault):
        root: Element = fromstring(text, forbid_dtd=True)
    return root
