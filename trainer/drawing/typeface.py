"""The typeface of windows, pages and pictures, from the installed package: nothing comes from the network."""

from __future__ import annotations

from importlib.util import find_spec
from pathlib import Path

FACES = {"regular": "SourceSansPro-Regular.ttf", "semibold": "SourceSansPro-Semibold.ttf"}
"""The weights in use of Source Sans Pro (SIL Open Font License)."""


def face_file(weight: str) -> Path | None:
    """The file of one weight; None for one that is not in use, or without the package."""
    spec = find_spec("font_source_sans_pro")  # found, not imported: its start-up lists every file
    if weight not in FACES or spec is None or spec.origin is None:
        return None
    return Path(spec.origin).with_name("files") / FACES[weight]
