"""Where the files lie that come with the program."""

from __future__ import annotations

from pathlib import Path

_CHECKOUT = Path(__file__).resolve().parents[2]


def shipped(package: str, name: str) -> Path:
    """The folder `name` that `package` ships: inside it where it is installed, in `assets` of a checkout."""
    installed = _CHECKOUT / package / name
    return installed if installed.is_dir() else _CHECKOUT / "assets" / name
