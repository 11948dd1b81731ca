"""TOML files of graphemes and words, read within bounds: tables of strings or of lists of strings."""

from __future__ import annotations

import tomllib
from pathlib import Path
from typing import Any

from trainer.errors import WordFileError

LARGEST = 2**20
"""Bytes of one file; the largest that is shipped has a fiftieth of it."""


def read_toml(path: Path) -> dict[str, Any]:
    """The tables of a file. Raises WordFileError where it cannot be read or is not TOML."""
    try:
        with path.open("rb") as file:
            content = file.read(LARGEST + 1)
    except OSError as error:
        raise WordFileError(f"{path}: must be a file that can be read: {error.strerror}") from error
    if len(content) > LARGEST:
        raise WordFileError(f"{path}: must have at most {LARGEST} bytes, it has more")
    try:
        return tomllib.loads(content.decode("utf-8"))
    except (UnicodeDecodeError, tomllib.TOMLDecodeError, RecursionError) as error:
        raise WordFileError(f"{path}: must be TOML: {error}") from error


def strings(path: Path, table: str, entries: object) -> dict[str, str]:
    """A table whose entries are strings. Raises WordFileError for anything else."""
    if not isinstance(entries, dict):
        raise WordFileError(f"{path}: {table}: must be a table, not {entries!r:.40}")
    for name, value in entries.items():
        if not isinstance(value, str):
            raise WordFileError(f"{path}: {table}.{name}: must be a string, not {value!r:.40}")
    return entries
