"""Small text and XML files that a stranger may have made: bounded, UTF-8, and with no DTD."""

from __future__ import annotations

import stat
from pathlib import Path
from xml.etree.ElementTree import Element, ParseError

from defusedxml import DefusedXmlException, DTDForbidden
from defusedxml.ElementTree import fromstring

from strokes.errors import LetterFileError

LARGEST_FILE = 256 * 1024
"""Bytes. A letter with ten formations takes about 5 kB."""


def read_text(path: Path) -> str:
    """The text of the file at `path`. Raises LetterFileError unless it is an ordinary, small UTF-8 file."""
    try:
        status = path.stat()  # asked first: opening a pipe would wait for ever
        if not stat.S_ISREG(status.st_mode):
            kind = "a folder" if stat.S_ISDIR(status.st_mode) else "a device or pipe"
            raise LetterFileError(path, f"must be a file, not {kind}")
        if status.st_size > LARGEST_FILE:
            raise LetterFileError(path, f"must have at most {LARGEST_FILE} bytes, not {status.st_size}")
        with path.open("rb") as file:
            raw = file.read(LARGEST_FILE + 1)
    except OSError as error:
        raise LetterFileError(path, f"cannot be read: {error.strerror or error}") from error
    except ValueError as error:  # a name with a null character
        raise LetterFileError(path, f"cannot be read: {error}") from error
    if len(raw) > LARGEST_FILE:
        raise LetterFileError(path, f"must have at most {LARGEST_FILE} bytes, not more")
    try:
        return raw.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        raise LetterFileError(path, f"must be UTF-8 text; byte {error.start + 1} is not") from error


def read_xml(path: Path) -> Element:
    """The root element of the XML file at `path`; defusedxml stops at a DTD before any entity is defined.

    Raises LetterFileError for what cannot be read, is not well formed, or asks for anything outside.
    """
    text = read_text(path)
    if "<?xml-stylesheet" in text:
        raise LetterFileError(path, "must have no style sheet from outside the file")
    try:
        root: Element = fromstring(text, forbid_dtd=True)
    except DTDForbidden as error:
        raise LetterFileError(path, "must have no DOCTYPE, as it can pull in other files") from error
    except DefusedXmlException as error:
        raise LetterFileError(path, "must have no entities and nothing from outside the file") from error
    except (ParseError, ValueError, LookupError) as error:  # the last two for an odd encoding
        raise LetterFileError(path, f"must be well-formed XML: {error}") from error
    return root
