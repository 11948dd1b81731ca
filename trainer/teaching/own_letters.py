"""The teacher's own letters: a copy of a shipped alphabet, and a cue changed in it.

The shipped alphabets are never written to. A changed file takes the place of the old one at once or not at
all, and keeps every byte that is not the cue: what an editor left in it is the teacher's.
"""

from __future__ import annotations

import shutil
import tempfile
from dataclasses import dataclass
from pathlib import Path
from unicodedata import normalize
from xml.parsers import expat

from strokes.alphabet import usable
from strokes.errors import LetterError
from strokes.files import LONGEST_CUE, MARKS, SHIPPED, TOML, letter_files
from trainer.errors import PlaceError
from trainer.teaching.alphabets import PRINT
from trainer.teaching.letter_history import replace_letter

_SVG = "http://www.w3.org/2000/svg"
_BOM = b"\xef\xbb\xbf"


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
    file = contents.files[letter]
    replace_letter(file, _with_cue(file.read_bytes(), stroke, said))


def _with_cue(content: bytes, stroke: int, said: str) -> bytes:
    from xml.sax.saxutils import escape  # it imports urllib.request, and that all of HTTP

    bom = _BOM if content.startswith(_BOM) else b""
    plain = content.removeprefix(_BOM)
    start, end = _Cue(stroke).span(plain)
    return bom + plain[:start] + escape(said).encode() + plain[end:]


@dataclass
class _Cue:
    """Finds the bytes of one cue: the first title in a path of the first group.

    The file was read as a letter before, so there is no DTD in it and the cue is there.
    """

    stroke: int
    depth: int = 0
    groups: int = 0
    paths: int = 0
    start: int | None = None
    end: int | None = None
    _inside: tuple[str, ...] = ()
    _entered: bool = False

    def span(self, content: bytes) -> tuple[int, int]:
        """Where the text of the title begins and ends."""
        parser = expat.ParserCreate("utf-8", " ")
        parser.StartElementHandler = lambda name, _: self._open(parser.CurrentByteIndex, name)
        parser.EndElementHandler = lambda _: self._close(parser.CurrentByteIndex)
        parser.CharacterDataHandler = lambda _: self._move(parser.CurrentByteIndex)
        parser.CommentHandler = lambda _: self._move(parser.CurrentByteIndex)
        parser.StartCdataSectionHandler = lambda: self._move(parser.CurrentByteIndex)
        parser.ProcessingInstructionHandler = lambda *_: self._move(parser.CurrentByteIndex)
        parser.Parse(content, True)
        assert self.start is not None
        assert self.end is not None
        return self.start, self.end

    def _move(self, at: int) -> None:
        """What comes first after the title's tag begins where the tag ends."""
        if self._entered:
            self.start, self._entered = at, False

    def _open(self, at: int, name: str) -> None:
        self._move(at)
        self._inside = (*self._inside, name.removeprefix(f"{_SVG} "))
        if self._inside == ("svg", "g"):
            self.groups, self.paths = self.groups + 1, 0
        elif self._inside == ("svg", "g", "path"):
            self.paths += 1
        elif self._inside == ("svg", "g", "path", "title"):
            here = self.groups == 1 and self.paths == self.stroke + 1
            self._entered = here and self.start is None

    def _close(self, at: int) -> None:
        self._move(at)
        if self._inside == ("svg", "g", "path", "title") and self.start is not None and self.end is None:
            self.end = at
        self._inside = self._inside[:-1]
