"""What is shown when a page cannot be: one clear sentence, and what was typed kept for another try."""

from __future__ import annotations

import logging

from flask import Flask, Response, make_response, render_template, session
from werkzeug.exceptions import HTTPException

from strokes.errors import StrokesError
from trainer.desk.access.resent_form import sent
from trainer.desk.access.sessions import KNOWN
from trainer.errors import PupilError, RecordError, RemarkError, TrainerError
from trainer.language import sentence, text

_log = logging.getLogger(__name__)

SAID = frozenset({400, 403, 404, 405, 410, 413, 500})
"""The answers with a sentence of their own; the rest say what 400 or 500 says."""


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
        _log.info("a page could not be shown", exc_info=error)
    return _page(sentence(error), code, again=True)


def _broken(_: Exception) -> Response:
    """A fault of the program itself, which is printed in the terminal in full."""
    return _page(text("desk.fault.500"), 500)


def _page(sentence: str, code: int, *, again: bool = False) -> Response:
    form = sent() if again and session.get(KNOWN) else None
    return make_response(render_template("error.html", sentence=sentence, form=form), code)
