"""Files of ink by strangers, whichever of the open formats they are in."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

from strokes.errors import InkFileError
from strokes.files.specimen import LARGEST_INK_FILE, Specimen
from strokes.files.text_file import read_text


def read_ink(path: Path | str) -> tuple[Specimen, ...]:
    """The specimens of a file that is InkML or UNIPEN by its content. Raises InkFileError."""
    path = Path(path)
    reader = _reader(read_text(path, largest=LARGEST_INK_FILE, encoding="latin-1", fault=InkFileError))
    if reader is None:
        raise InkFileError(
            path, "must be InkML, which begins with <, or UNIPEN, which has lines such as .PEN_DOWN"
        )
    return reader(path)


def _reader(text: str) -> Callable[[Path], tuple[Specimen, ...]] | None:
    """Who reads a file with this text; None where nobody does. Readers are imported with the first file."""
    from strokes.files.inkml import read_inkml
    from strokes.files.unipen import KEY_WORD, read_unipen

    if text.lstrip("\xef\xbb\xbf \t\r\n").startswith("<"):
        return read_inkml
    return read_unipen if KEY_WORD.search(text) else None
