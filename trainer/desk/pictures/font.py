"""The typeface of the pages."""

from __future__ import annotations

from flask import Blueprint, Response, abort, send_file

from trainer.drawing import face_file

page = Blueprint("font", __name__)


@page.get("/font/<name>.ttf")
def face(name: str) -> Response:
    """One weight of it; 404 for a weight that the pages do not use."""
    path = face_file(name)
    if path is None:
        abort(404)
    return send_file(path, mimetype="font/ttf")
