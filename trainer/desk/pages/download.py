"""What the record holds of a child or a group as one file, for the family or another school."""

from __future__ import annotations

from io import BytesIO

from flask import Blueprint, Response, send_file

from trainer.desk.desk import desk
from trainer.desk.pages.erase import whom
from trainer.desk.pages.family_copy import readable
from trainer.exchange import pupils_zip
from trainer.language import text

page = Blueprint("download", __name__)


@page.get("/pupils/copy")
def save() -> Response:
    """The zip of the pupil or group that the address asks for, those in the archive too."""
    asked = whom()
    alphabet = desk().alphabet(asked.pupils[0].group)
    content = BytesIO(pupils_zip(desk().record, alphabet, asked.pupils, readable))
    # no name in it: the browser lists what it saved, and goes on doing so after an erasure
    who = "classlist.copy.group" if asked.is_group else "classlist.copy.pupil"
    name = f"{text(who, number=asked.pupils[0].id)}-{desk().now().astimezone():%Y-%m-%d}.zip"
    return send_file(content, "application/zip", as_attachment=True, download_name=name)
