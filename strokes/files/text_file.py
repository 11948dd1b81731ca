"""Text and XML files that a stranger may have made: bounded, in a known encoding, and with no DTD.

What is wrong is raised as the error of the one who asks: LetterFileError for a letter, InkFileError for ink.
"""

from __future__ import annotations

import stat
from collections.abc import Callable
from pathlib import Path
from xml.etree.ElementTree import Element, ParseError

from defusedxml import DefusedXmlException, DTDForbidden
from defusedxml.ElementTree import fromstring

from strokes.errors import LetterFileError, StrokesError

LARGEST_FILE = 256 * 1024
"""Bytes. A letter with ten formations takes about 5 kB."""

MOST_TAGS = 2_000_000
"""Tags of one XML file: each of them takes far more room in memory than in the file."""

Fault = Callable[[Path, str], StrokesError]
"""Makes the error for a file and what is wrong with it."""


def read_text(
    path: Path, *, largest: int = LARGEST_FILE, encoding: str = "utf-8-sig", fault: Fault = LetterFileError
) -> str:
    """The text of the file at `path`. Raises `fault` unless it is an ordinary file that is small enough."""
    try:
        status = path.stat()  # asked first: opening a pipe would wait for ever
        if not stat.S_ISREG(status.st_mode):
            kind = "a folder" if stat.S_ISDIR(status.st_mode) else "a device or pipe"
            raise fault(path, f"must be a file, not {kind}")
        if status.st_size > largest:
            raise fault(path, f"must have at most {largest} bytes, not {status.st_size}")
        with path.open("rb") as file:
            raw = file.read(largest + 1)
    except OSError as error:
        raise fault(path, f"cannot be read: {error.strerror or error}") from error
    except ValueError as error:  # a name with a null character
        raise fault(path, f"cannot be read: {error}") from error
    if len(raw) > largest:
        raise fault(path, f"must have at most {largest} bytes, not more")
    try:
        return raw.decode(encoding)
    except UnicodeDecodeError as error:
        raise fault(path, f"must be UTF-8 text; byte {error.start + 1} is not") from error


def read_xml(path: Path, *, largest: int = LARGEST_FILE, fault: Fault = LetterFileError) -> Element:
    """The root element of the XML file at `path`; defusedxml stops at a DTD before any entity is defined.

    Raises `fault` for what cannot be read, is not well formed, or asks for anything outside.
    """
    return xml_root(read_text(path, largest=largest, fault=fault), path, fault)


def xml_root(text: str, path: Path, fault: Fault = LetterFileError) -> Element:
    """The same of the text that was read from `path`."""
    if "<?xml-stylesheet" in text:
        raise fault(path, "must have no style sheet from outside the file")
    if text.count("<") > MOST_TAGS:
        raise fault(path, f"must have at most {MOST_TAGS} tags, not more")
    try:
        root: Element = fromstring(text, forbid_dtd=True)
    except DTDForbidden as error:
        raise fault(path, "must have no DOCTYPE, as it can pull in other files") from error
    except DefusedXmlException as error:
        raise fault(path, "must have no entities and nothing from outside the file") from error
    except (ParseError, ValueError, LookupError) as error:  # the last two for an odd encoding
        raise fault(path, f"must be well-formed XML: {error}") from error
    return root
