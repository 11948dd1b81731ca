"""The teacher's desk as one Flask app: its pages, what guards them, and what they all show."""

from __future__ import annotations

from collections.abc import Collection
from importlib import import_module
from typing import Any

from flask import Flask
from werkzeug.routing import IntegerConverter

from trainer.desk import error_pages
from trainer.desk.access import guard, login
from trainer.desk.access.invitation import LASTS, Invitation
from trainer.desk.access.passphrase import PASSPHRASE, Passphrase
from trainer.desk.access.sessions import KNOWN, Sessions
from trainer.desk.access.uploads import MemoryRequest
from trainer.desk.desk import NAME, Desk
from trainer.desk.desk import desk as current_desk
from trainer.desk.pictures import font
from trainer.language import card_words, day_words, letter_words, size_words, text

PAGES = (
    *("tomorrow", "first_day", "screens", "classroom", "over_time", "pupil", "plan", "lesson", "words"),
    *("alphabet", "letter_writer", "letter_versions", "alphabet_sharing"),
    *("paper", "on_paper"),
    *("classlist", "settings", "voice"),
)
"""One module a page, each with its blueprint `page`."""

WITHIN = {
    "over_time": "classroom",
    "first_day": "tomorrow",
    "pupil": "classroom",
    "letter_writer": "alphabet",
    "letter_versions": "alphabet",
    "alphabet_sharing": "alphabet",
    "on_paper": "paper",
    "voice": "settings",
}
"""Pages that are reached from another one, and stand below it in the navigation."""

LARGEST_UPLOAD = 8 * 2**20
"""Bytes of one request: the class list of a large school has far fewer."""


def create_app(desk: Desk, *, hosts: Collection[str] = ("localhost",), testing: bool = False) -> Flask:
    """The desk over one record; `hosts` are the only names and ports under which it answers."""
    app = Flask(__name__)
    app.config.update(TESTING=testing, MAX_CONTENT_LENGTH=LARGEST_UPLOAD)
    app.extensions[NAME] = desk
    app.extensions[PASSPHRASE] = Passphrase(desk.record, Invitation(desk.now() + LASTS))
    app.session_interface = Sessions(desk.now)
    app.request_class = MemoryRequest
    app.url_map.converters["int"] = _Number
    app.jinja_options = app.jinja_options | {"trim_blocks": True, "lstrip_blocks": True}
    app.jinja_env.globals.update(
        text=text, letter_words=letter_words, card_words=card_words, csrf_token=guard.csrf_token
    )
    app.context_processor(_navigation)
    guard.guard(app, hosts)
    error_pages.answer(app)
    app.register_blueprint(font.page)
    app.register_blueprint(login.page)
    for name in PAGES:
        app.register_blueprint(import_module(f"trainer.desk.pages.{name}").page)
    return app


class _Number(IntegerConverter):
    """A number in an address, of as many digits as a number of the record may have: others are not there."""

    regex = r"\d{1,10}"


def _navigation() -> dict[str, Any]:
    """What base.html needs: the pages to go to, once the visitor is known."""
    from flask import request, session

    here = (request.endpoint or "").partition(".")[0]
    pages = [name for name in PAGES if name not in WITHIN] if session and session.get(KNOWN) else []
    printed = text("desk.printed", day=day_words(current_desk().now(), year=True)) if pages else ""
    left = current_desk().record.upkeep.little_room if pages else None
    room = "" if left is None else text("record.room", free=size_words(left))
    return {"pages": pages, "here": WITHIN.get(here, here), "printed": printed, "room": room}
