"""Where children practice: the window is opened on this machine, and other screens are told what to type."""

from __future__ import annotations

from datetime import timedelta

from flask import Blueprint, abort, redirect, render_template, request, url_for
from werkzeug.wrappers import Response

from trainer.desk.desk import desk
from trainer.desk.pages.messages import tell
from trainer.language import clock_words, day_words, sentence, text
from trainer.places import is_address
from trainer.record import Screen

page = Blueprint("screens", __name__)

PLACE = "practice"
"""The section of the window, on this page and on that of the first day."""

SILENT = timedelta(minutes=3)
"""A screen that is open is heard from every minute: after three it is not reached. Our choice."""


@page.get("/practice")
def show() -> str:
    """The window's state, the button for it, the line for other screens, and how those are that deliver."""
    screens = [(screen.state, screen_words(screen)) for screen in desk().record.screens.find()]
    return render_template("screens/show.html", screens=screens, **window_words())


@page.post("/practice")
def start() -> Response:
    """Open the window, once; what came of it is its state, which stands where the button was pressed."""
    practice = desk().practice or abort(404)
    if practice.state in ("opening", "open"):
        tell(text("screens.already"), place=PLACE)
    elif practice.open(desk().now()) == "closed":
        tell(text("screens.left"), place=PLACE)
    if request.form.get("from") == "first_day":
        return redirect(url_for("first_day.show", _anchor=PLACE), 303)
    return redirect(url_for("screens.show", _anchor=PLACE), 303)


@page.post("/practice/forget")
def forget() -> Response:
    """Take a screen off the list."""
    desk().record.screens.forget(request.form.get("screen", ""))
    return redirect(url_for("screens.show"), 303)


def screen_words(screen: Screen) -> str:
    """How a screen was when it was heard from last, by the clock of this machine."""
    heard, state = desk().now() - screen.silent, screen.state
    how = "closed" if not state.open else "silent" if screen.silent > SILENT else "open"
    words = [text(f"screens.each.{how}", day=day_words(heard), time=clock_words(heard))]
    if state.waiting:
        words.append(text("screens.each.waiting", count=state.waiting))
    elif how != "silent":
        words.append(text("screens.each.nothing"))
    if state.little_room:
        words.append(text("screens.each.little_room"))
    return " ".join(words)


def window_words() -> dict[str, object]:
    """What a page with the section of the window needs, with a sentence for its state unless it is closed."""
    practice = desk().practice
    state = practice.state if practice else "closed"
    said = ""
    if practice and practice.since and state != "closed":
        reason = sentence(practice.reason) if state in ("failed", "broken") else ""
        said = text(f"screens.state.{state}", since=clock_words(practice.since), reason=reason)
    return {"practice": practice, "said": said, "on_a_server": is_address(desk().record.place)}
