"""Where children practice: the window is opened on this machine, and other screens are told what to type."""

from __future__ import annotations

from flask import Blueprint, abort, redirect, render_template, request, url_for
from werkzeug.wrappers import Response

from trainer.desk.desk import desk
from trainer.desk.pages.messages import tell
from trainer.language import clock_words, sentence, text
from trainer.places import is_address

page = Blueprint("screens", __name__)

PLACE = "practice"
"""The section of the window, on this page and on that of the first day."""


@page.get("/practice")
def show() -> str:
    """The window's state, the button for it, and the line for other screens."""
    return render_template("screens/show.html", **window_words())


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


def window_words() -> dict[str, object]:
    """What a page with the section of the window needs, with a sentence for its state unless it is closed."""
    practice = desk().practice
    state = practice.state if practice else "closed"
    said = ""
    if practice and practice.since and state != "closed":
        reason = sentence(practice.reason) if state in ("failed", "broken") else ""
        said = text(f"screens.state.{state}", since=clock_words(practice.since), reason=reason)
    return {"practice": practice, "said": said, "on_a_server": is_address(desk().record.place)}
