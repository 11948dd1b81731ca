"""Earlier versions of a letter's file: kept whenever the file is replaced, and put back on request.

They lie in the alphabet's folder as `history/<name of the file>/<moment>.svg`.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import UTC, datetime
from pathlib import Path

from strokes.errors import LetterError, LetterFileError
from strokes.files import load_letter
from strokes.letter import Letter
from trainer.atomic_file import replace_file
from trainer.errors import PlaceError

FOLDER = "history"

_STAMP = "%Y%m%dT%H%M%S%f"


@dataclass(frozen=True)
class Version:
    """A letter as it was `until` a moment: its file, and the letter in it. The first one kept is number 1."""

    key: str
    number: int
    until: datetime
    file: Path
    letter: Letter


def keep(file: Path, before: bytes | None = None) -> None:
    """Keep a letter's file before it is replaced; where there is none, `before`.

    Raises PlaceError when that cannot be done.
    """
    try:
        content = file.read_bytes()
    except FileNotFoundError:
        if before is None:
            return
        content = before
    except OSError as error:
        raise PlaceError(f"{file}: the letter as it was cannot be read: {error.strerror}") from error
    now = datetime.now(UTC).strftime(_STAMP)
    replace_file(_folder(file) / f"{now}.svg", content, what="the version before")


def versions(file: Path) -> list[Version]:
    """The earlier versions of a letter's file, the latest first, without what cannot be read as a letter."""
    earlier = []
    for number, copy in enumerate(sorted(_folder(file).glob("*.svg")), 1):
        try:
            until = datetime.strptime(copy.stem, _STAMP).replace(tzinfo=UTC)
            earlier.append(Version(copy.stem, number, until, copy, load_letter(copy)))
        except (ValueError, LetterFileError):
            continue
    return earlier[::-1]


def version(file: Path, key: str) -> Version:
    """The version of that key. Raises LetterError where there is none."""
    for earlier in versions(file):
        if earlier.key == key:
            return earlier
    raise LetterError("the version must be one that was kept, and it is not there")


def replace_letter(file: Path, content: bytes, *, before: bytes | None = None) -> None:
    """Give a letter's file new content, which must be a letter without faults; the version before is kept.

    A composed letter has no file yet: what would have stood in it is given as `before`, to go back to.
    Raises LetterFileError for a fault in the new content, and PlaceError when it cannot be written.
    """

    def check(new: Path) -> None:
        try:
            load_letter(new)
        except LetterFileError as error:
            raise error.at(file) from error
        keep(file, before)

    if not file.exists() or file.read_bytes() != content:
        replace_file(file, content, what="the letter", check=check)


def _folder(file: Path) -> Path:
    return file.parent / FOLDER / file.stem
