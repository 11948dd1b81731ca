"""Where things lie on this machine: the data folder, and the record in it."""

from __future__ import annotations

import re
from pathlib import Path
from typing import TypeGuard
from urllib.parse import parse_qs, unquote

import platformdirs

from trainer.errors import PlaceError

NAME = "letter-formation-trainer"
RECORD = "record.sqlite"
LETTERS = "letters"
SHARED = "shared"
SPEECH = "speech"
BACKUPS = "backups"
SCREENS = "screens.json"
TOUCH = "touch.txt"

_DEVICES = {"con", "prn", "aux", "nul", *(f"{port}{n}" for port in ("com", "lpt") for n in range(10))}

_PASSWORD = re.compile(r"^(\w+://[^:/@]*):([^/@]*)@")

_SHOWN = {"host", "port", "user", "dbname", "service", "sslmode", "sslrootcert"}
"""What of an address may be shown; whatever else it says may be a secret."""


def data_folder(chosen: Path | None = None) -> Path:
    """The folder of the record, the chosen one or the user's own; it is made for its owner alone.

    Raises PlaceError when it cannot be made, or is not a folder.
    """
    folder = _folder(chosen)
    try:
        folder.mkdir(mode=0o700, parents=True, exist_ok=True)
    except FileExistsError:
        raise PlaceError(f"{folder} must be a folder, and it is a file") from None
    except OSError as error:
        raise PlaceError(f"{folder}: the folder cannot be made: {error.strerror}") from error
    return folder


def own_letters(chosen: Path | None = None) -> Path:
    """The folder for an alphabet of the teacher's own, in the data folder; neither need be there."""
    return _folder(chosen) / LETTERS


def speech_folder(chosen: Path | None = None) -> Path:
    """The folder for recordings and for what was rendered, in the data folder; it need not be there."""
    return _folder(chosen) / SPEECH


def screens_file(chosen: Path | None = None) -> Path:
    """The file of the measured screens of this machine, in the data folder; it need not be there."""
    return _folder(chosen) / SCREENS


def record_file(chosen: Path | None = None) -> Path:
    """The file of the record in the data folder."""
    return data_folder(chosen) / RECORD


def is_address(place: Path | str) -> TypeGuard[str]:
    """Whether a record at this place is on a server; else it is a file."""
    return isinstance(place, str) and "://" in place


def is_reserved(name: str) -> bool:
    """Whether Windows keeps this name of a file or folder for a device, whatever its case and its ending."""
    return name.partition(".")[0].strip().casefold() in _DEVICES


def without_secrets(address: str) -> str:
    """The address of a server without its password, and without options that may hold a secret."""
    place, _, options = _PASSWORD.sub(r"\1@", address).partition("?")
    shown = "&".join(option for option in options.split("&") if option.partition("=")[0] in _SHOWN)
    return f"{place}?{shown}" if shown else place


def password_of(address: str) -> str | None:
    """The password in the address of a server; None where there is none."""
    if match := _PASSWORD.match(address):
        return unquote(match[2])
    options = parse_qs(address.partition("?")[2])
    return options["password"][0] if "password" in options else None


def _folder(chosen: Path | None) -> Path:
    return chosen or Path(platformdirs.user_data_dir(NAME, appauthor=False))
