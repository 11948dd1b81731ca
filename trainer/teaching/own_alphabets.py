"""More alphabets of the teacher's own: each a folder inside her folder of letters, none over another."""

from __future__ import annotations

import os
import tempfile
from collections.abc import Callable, Mapping
from itertools import count
from pathlib import Path
from unicodedata import normalize

from strokes.alphabet import Usable, usable
from strokes.errors import LetterError
from strokes.files import MARKS, TOML
from trainer.errors import PlaceError
from trainer.places import is_reserved
from trainer.teaching import letter_drafts, letter_history
from trainer.teaching.alphabets import SHIPPED_NAMES
from trainer.teaching.own_letters import copy_letters, first_fault

LONGEST_NAME = 40

_TAKEN = {MARKS, letter_drafts.FOLDER, letter_history.FOLDER, *SHIPPED_NAMES}
_NO_NAME = set('\\/:*?"<>|')
"""What no name of a folder may hold, on one system or another."""


def checked_name(own: Path, typed: str) -> str:
    """The name of a new alphabet. Raises LetterError for one that cannot be, or that is taken in any case."""
    name = normalize("NFC", " ".join(typed.split()))
    if not 1 <= len(name) <= LONGEST_NAME:
        raise LetterError(f"the name must have 1 to {LONGEST_NAME} characters, not {len(name)}")
    no_folder = set(name) & _NO_NAME or is_reserved(name)
    if not name.isprintable() or no_folder or not (name[0].isalnum() and name[-1].isalnum()):
        raise LetterError(
            "the name must begin and end with a letter or digit, and be one that a folder may have"
        )
    taken = {*_TAKEN, own.name}
    if own.is_dir():
        taken |= {entry.name for entry in own.iterdir()}
    if name.casefold() in {normalize("NFC", other).casefold() for other in taken}:
        raise LetterError(f"the name must be a new one, and {name!r} is taken")
    return name


def free_name(own: Path, wanted: str) -> str:
    """The name, with a number behind it where it is taken; one that cannot be comes back as it is."""
    for number in range(1, 100):
        name = wanted if number == 1 else f"{wanted} {number}"
        try:
            return checked_name(own, name)
        except LetterError:
            continue
    return wanted


def make(own: Path, typed: str, source: Path) -> str:
    """A new alphabet as a copy of another one; gives back its name.

    Raises LetterError for the name, PlaceError when it cannot be copied; nothing is left behind then.
    """
    name = checked_name(own, typed)
    _put(own, name, lambda folder: copy_letters(source, folder))
    return name


def take_in(own: Path, typed: str, files: Mapping[str, bytes]) -> str:
    """A new alphabet from files that came from elsewhere, by their places in its folder; gives back its name.

    Raises LetterError for the name and where nothing of it can be used, PlaceError when it cannot be written.
    """
    name = checked_name(own, typed)

    def write(folder: Path) -> None:
        _write(files, folder)
        result = usable(folder)
        if result.alphabet is None:
            raise first_fault(result, folder)

    _put(own, name, write)
    return name


def share(source: Path, name: str, place: Path) -> Path:
    """Copy an alphabet's own files into a new folder of that name in `place`; gives back the folder.

    One that is there already stays as it is: it is the one where it holds the same, else another number is
    put behind the name. Raises PlaceError when it cannot be copied; nothing is left behind then.
    """
    try:
        place.mkdir(parents=True, exist_ok=True)
        with tempfile.TemporaryDirectory(prefix=".alphabet-", dir=place) as half:
            copy = Path(half) / name
            copy_letters(source, copy)
            for number in count(1):
                folder = place / (name if number == 1 else f"{name} {number}")
                if not os.path.lexists(folder):
                    return copy.rename(folder)
                if _content(folder) == _content(copy):
                    return folder
    except OSError as error:
        raise PlaceError(f"{place / name}: the alphabet cannot be copied: {error.strerror}") from error
    raise AssertionError("there is always a number that is free")


def _content(folder: Path) -> dict[Path, bytes]:
    return {file.relative_to(folder): file.read_bytes() for file in folder.rglob("*") if file.is_file()}


def looked_at(files: Mapping[str, bytes]) -> Usable:
    """What of these files could be used. Raises PlaceError when they cannot be written to be read."""
    try:
        with tempfile.TemporaryDirectory(prefix="alphabet-") as folder:
            _write(files, Path(folder) / "alphabet")
            return usable(Path(folder) / "alphabet")
    except OSError as error:
        raise PlaceError(f"the files cannot be looked at: {error.strerror}") from error


def _write(files: Mapping[str, bytes], folder: Path) -> None:
    folder.mkdir()
    for place, content in files.items():
        file = folder / place
        file.parent.mkdir(exist_ok=True)
        file.write_bytes(content)


def _put(own: Path, name: str, fill: Callable[[Path], object]) -> None:
    """Make the folder of a new alphabet, all of it or nothing."""
    try:
        own.mkdir(parents=True, exist_ok=True)
        with tempfile.TemporaryDirectory(prefix=".alphabet-", dir=own) as half:
            folder = Path(half) / name
            fill(folder)
            _name(folder / TOML, name)
            folder.rename(own / name)
    except OSError as error:
        raise PlaceError(f"{own / name}: the alphabet cannot be made: {error.strerror}") from error


def _name(table: Path, name: str) -> None:
    """Write the alphabet's name into its table, where it has one."""
    import tomlkit  # only who makes an alphabet needs it

    if not table.exists():
        return
    try:
        content = tomlkit.parse(table.read_text(encoding="utf-8-sig"))
        content["name"] = name
        table.write_text(tomlkit.dumps(content), encoding="utf-8", newline="\n")
    except (tomlkit.exceptions.TOMLKitError, ValueError, RecursionError) as error:
        raise PlaceError(f"{TOML} cannot be written anew: {error}") from error
