"""Files of strangers and back: letters as SVG, alphabet folders, and the open formats of ink.

In come paths; out come Letter and the content of an alphabet's folder, or Specimens of ink, and files are
written.

Letters are SVG files, because teachers and type designers have tools for them, and because a path has a
start and a direction. A faulty letter is set aside alone, so that one slip in one file does not change how
a class writes; a fault in `alphabet.toml` sets all of it aside, as by other guide lines every letter would
be judged wrongly. All files are read within bounds: bytes, tags, points, traces, depth and numbers have a
limit each, nothing outside a file's folder is opened, and what would need a guess is refused in one
sentence.
"""

from strokes.files.formats import read_ink
from strokes.files.letter_folder import (
    SHIPPED,
    TOML,
    Content,
    FolderReader,
    SameDrawing,
    faults,
    letter_files,
    load_letter,
    same_drawings,
)
from strokes.files.letter_svg import MOST_STROKES, REACH, SMALLEST_LETTER, file_name, wrong_name
from strokes.files.marks import MARKS
from strokes.files.shipped_files import shipped
from strokes.files.specimen import X_HEIGHTS, Specimen
from strokes.files.text_file import read_text
from strokes.svg_document import LONGEST_CUE

__all__ = [
    "LONGEST_CUE",
    "MARKS",
    "MOST_STROKES",
    "REACH",
    "SHIPPED",
    "SMALLEST_LETTER",
    "TOML",
    "X_HEIGHTS",
    "Content",
    "FolderReader",
    "SameDrawing",
    "Specimen",
    "faults",
    "file_name",
    "letter_files",
    "load_letter",
    "read_ink",
    "read_text",
    "same_drawings",
    "shipped",
    "wrong_name",
]
