"""What was typed into a form that could not be taken: it is shown again, to be sent once more.

A note that was written while the desk closed itself, or while the record was busy, is not lost.
"""

from __future__ import annotations

import json
from dataclasses import dataclass

from flask import request
from werkzeug.exceptions import RequestEntityTooLarge

TOKEN = "csrf_token"
"""The field with the session's token, in every form."""

SECRET = ("passphrase", "again")
"""Fields that are never sent back to the page."""

MOST = 100_000
"""Characters of a form: more than any form of the desk takes."""


@dataclass(frozen=True)
class ResentForm:
    """A form that was sent: where to, and its fields without token and secrets."""

    path: str
    fields: tuple[tuple[str, str], ...]

    def packed(self) -> str:
        """As a text for a field of the login page."""
        return json.dumps([self.path, self.fields])


def sent() -> ResentForm | None:
    """The form of this request; None when there was none that can be sent again."""
    if request.method != "POST" or request.endpoint is None:
        return None
    try:
        fields = tuple(request.form.items(multi=True))
        files = bool(request.files)
    except RequestEntityTooLarge:
        return None
    if files or any(part in name for name, _ in fields for part in SECRET):
        return None
    return ResentForm(request.full_path.rstrip("?"), tuple(field for field in fields if field[0] != TOKEN))


def unpacked(text: str) -> ResentForm | None:
    """What `packed` gave; None for anything else, and for a way out of the desk."""
    try:
        path, fields = json.loads(text[:MOST])
        form = ResentForm(str(path), tuple((str(name), str(value)) for name, value in fields))
    except (ValueError, TypeError, RecursionError):
        return None
    return form if is_own_path(form.path) else None


def is_own_path(address: str) -> bool:
    """Whether an address is a path of the desk, and not a way out of it (`//host`, `/\\host`)."""
    return address.startswith("/") and not address.startswith(("//", "/\\")) and address.isprintable()
