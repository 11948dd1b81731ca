"""The teacher's own letters: a copy of a shipped alphabet, and a cue changed in it.

The shipped alphabets are never written to. A changed file takes the place of the old one at once or not at
all, and keeps what an editor left in it (`letter_markup`).
"""

from __future__ import annotations

import shutil
import tempfile
from dataclasses import replace
from pathlib import Path
from unicodedata import normalize

from strokes.alphabet import Usable, usable
from strokes.errors import LetterError, LetterFileError
from strokes.files import LONGEST_CUE, MARKS, SHIPPED, TOML, letter_files
from strokes.letter import Letter
from trainer.errors import PlaceError
from trainer.teaching import letter_markup
from trainer.teaching.alphabets import PRINT
from trainer.teaching.letter_history import replace_letter


def copy_shipped(folder: Path, name: str = PRINT) -> None:
    """Copy the shipped alphabet of that name into a new folder, all of it or nothing.

    Raises PlaceError when the folder is there already or cannot be made.
    """
    if folder.exists():
        raise PlaceError(f"{folder}: must be a new folder, and it is there already; nothing was changed")
    try:
        folder.parent.mkdir(parents=True, exist_ok=True)
        with tempfile.TemporaryDirectory(prefix=".letters-", dir=folder.parent) as half:
            shutil.copytree(SHIPPED / name, Path(half) / folder.name)
            (Path(half) / folder.name).rename(folder)
    except OSError as error:
        raise PlaceError(f"{folder}: the alphabet cannot be copied here: {error.strerror}") from error


def copy_letters(folder: Path, new: Path) -> None:
    """Copy an alphabet's own files into a new folder, one that cannot be read as it is not, and nothing else.

    Raises PlaceError when they cannot be copied.
    """
    try:
        new.mkdir()
        files = [*letter_files(folder), folder / TOML]
        if (folder / MARKS).is_dir():
            (new / MARKS).mkdir()
            files += letter_files(folder / MARKS)
        for file in files:
            if file.is_file():
                shutil.copyfile(file, new / file.relative_to(folder))
    except OSError as error:
        raise PlaceError(f"{folder}: the alphabet cannot be copied: {error.strerror}") from error


def first_fault(contents: Usable, folder: Path) -> LetterFileError:
    """The first fault of a folder that is there for a moment only, told without the place where it lies."""
    fault = contents.faults[0]
    return fault.at(fault.path.relative_to(folder.parent if fault.path == folder else folder))


def cue(typed: str) -> str:
    """A cue as it is kept: spaces evened out. Raises LetterError for one that cannot be said."""
    said = normalize("NFC", " ".join(typed.split()))
    if not said:
        raise LetterError("a cue must say how the pen moves, it is empty")
    if len(said) > LONGEST_CUE:
        raise LetterError(f"a cue must have at most {LONGEST_CUE} characters, not {len(said)}")
    if not said.isprintable():
        raise LetterError("a cue must be plain text, it has a character that cannot be seen")
    return said


def change_cue(folder: Path, letter: str, stroke: int, said: str) -> None:
    """Put `said` in the place of the cue of the taught formation's stroke, counted from 0.

    The letter must be without faults before and stays so. Raises LetterError for a letter, a stroke or a cue
    that the alphabet in `folder` cannot have, PlaceError when the file cannot be written.
    """
    said = cue(said)
    contents = usable(folder)
    alphabet = contents.alphabet
    if alphabet is None:
        raise contents.faults[0]
    if letter not in alphabet:
        raise LetterError(f"{letter!r} must be a letter of {alphabet.name}: {' '.join(alphabet)}")
    strokes = len(alphabet[letter].taught.strokes)
    if not 0 <= stroke < strokes:
        raise LetterError(f"{letter!r} must have the stroke {stroke + 1}, it has {strokes}")
    if base := alphabet[letter].base:
        raise LetterError(f"{letter!r} is composed: its cues are those of {base!r} and of its mark")
    file, before = contents.files[letter], alphabet[letter]
    after = _with_cue(before, stroke, said)
    replace_letter(
        file, letter_markup.changed(file, before, after, lambda plain: plain.with_cue(stroke, said))
    )


def _with_cue(letter: Letter, stroke: int, said: str) -> Letter:
    strokes = list(letter.taught.strokes)
    strokes[stroke] = replace(strokes[stroke], cue=said)
    taught = replace(letter.taught, strokes=tuple(strokes))
    return replace(letter, formations=(taught, *letter.formations[1:]))
