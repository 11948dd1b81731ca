"""What is shown when a page cannot be: one clear sentence, and what was typed kept for another try."""

from __future__ import annotations

from flask import Flask, Response, make_response, render_template, request, session
from werkzeug.exceptions import HTTPException, RequestEntityTooLarge

from strokes.errors import StrokesError
from trainer.desk.gate import TOKEN
from trainer.desk.visits import KNOWN
from trainer.errors import PupilError, RecordError, RemarkError, TrainerError
from trainer.texts import text

SAID = frozenset({400, 403, 404, 405, 413, 500})
"""The answers with a sentence of their own; the rest say what 400 or 500 says."""

SECRET = ("passphrase", "again", "token")
"""Parts of names of fields that are never sent back to the page."""


def answer(app: Flask) -> None:
    """Let the app say every fault as a page."""
    app.register_error_handler(HTTPException, _refused)
    app.register_error_handler(TrainerError, _could_not)
    app.register_error_handler(StrokesError, _could_not)
    app.register_error_handler(500, _broken)


def _refused(error: HTTPException) -> Response:
    code = error.code or 500
    if code < 400:
        return make_response(error.get_response())
    known = code if code in SAID else 400 if code < 500 else 500
    return _page(text(f"desk.fault.{known}"), code)


def _could_not(error: TrainerError | StrokesError) -> Response:
    """What the record or an alphabet says; a form that was sent can be sent again as it was."""
    if isinstance(error, PupilError | RemarkError):
        code = 400
    else:
        code = 503 if isinstance(error, RecordError) else 500
    return _page(_sentence(str(error)), code, again=True)


def _broken(_: Exception) -> Response:
    """A fault of the program itself, which stands in the terminal in full."""
    return _page(text("desk.fault.500"), 500)


def _page(sentence: str, code: int, *, again: bool = False) -> Response:
    again = again and bool(session.get(KNOWN))
    return make_response(
        render_template("fault.html", sentence=sentence, sent=_sent() if again else None), code
    )


def _sent() -> list[tuple[str, str]] | None:
    """The fields of the form that was sent, without secrets; None when there was none to send again."""
    if request.method != "POST" or request.files:
        return None
    try:
        fields = list(request.form.items(multi=True))
    except RequestEntityTooLarge:
        return None
    if any(part in name for name, _ in fields for part in SECRET if name != TOKEN):
        return None
    return [(name, value) for name, value in fields if name != TOKEN]


def _sentence(said: str) -> str:
    return said[:1].upper() + said[1:].rstrip(".") + "."
