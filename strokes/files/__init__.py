"""Files of strangers and back, bounded: letters as SVG, alphabet folders, and the open formats of ink."""

from strokes.files.formats import read_ink
from strokes.files.letter_folder import (
    SHIPPED,
    TOML,
    Content,
    FolderReader,
    faults,
    letter_files,
    load_letter,
)
from strokes.files.letter_svg import LONGEST_CUE, letter_name
from strokes.files.shipped_files import shipped
from strokes.files.specimen import X_HEIGHTS, Specimen

__all__ = [
    "LONGEST_CUE",
    "SHIPPED",
    "TOML",
    "X_HEIGHTS",
    "Content",
    "FolderReader",
    "Specimen",
    "faults",
    "letter_files",
    "letter_name",
    "load_letter",
    "read_ink",
    "shipped",
]
