"""What the record holds of a child or a group as one file, for the family or another school."""

from __future__ import annotations

import re
from io import BytesIO

from flask import Blueprint, Response, send_file

from trainer.desk.desk import desk
from trainer.desk.pages.erase import whom
from trainer.desk.pages.family_copy import readable
from trainer.exchange import pupils_zip

page = Blueprint("download", __name__)

_NO_FILE = re.compile(r'[\\/:*?"<>|]+')
"""What no name of a file may hold, on one system or another."""


@page.get("/pupils/copy")
def save() -> Response:
    """The zip of the pupil or group that the address asks for, those in the archive too."""
    asked = whom()
    alphabet = desk().alphabet(asked.pupils[0].group)
    content = BytesIO(pupils_zip(desk().record, alphabet, asked.pupils, readable))
    name = f"{_NO_FILE.sub('-', asked.name)}-{desk().now().astimezone():%Y-%m-%d}.zip"
    return send_file(content, "application/zip", as_attachment=True, download_name=name)
