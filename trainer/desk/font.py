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
    spec = find_spec("font_source_sans_pro")
    if name not in FACES or spec is None or spec.origin is None:
        abort(404)
    return send_file(Path(spec.origin).with_name("files") / FACES[name], mimetype="font/ttf")
