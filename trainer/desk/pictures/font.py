"""The typeface of the pages, from the installed package: nothing comes from the network."""

from __future__ import annotations

from importlib.util import find_spec
from pathlib import Path

from flask import Blueprint, Response, abort, send_file

page = Blueprint("font", __name__)

FACES = {"regular": "SourceSansPro-Regular.ttf", "semibold": "SourceSansPro-Semibold.ttf"}


@page.get("/font/<name>.ttf")
def face(name: str) -> Response:
    """Source Sans Pro (SIL Open Font License) in one weight."""
    path = file(name)
    if path is None:
        abort(404)
    return send_file(path, mimetype="font/ttf")


def file(name: str) -> Path | None:
    """The file of one weight; None for a weight that the pages do not use, or without the package."""
    spec = find_spec("font_source_sans_pro")  # found, not imported: its start-up lists every file
    if name not in FACES or spec is None or spec.origin is None:
        return None
    return Path(spec.origin).with_name("files") / FACES[name]
