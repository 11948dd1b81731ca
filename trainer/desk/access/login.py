"""The pages before the desk: choosing the passphrase, giving it, and leaving."""

from __future__ import annotations

from datetime import timedelta
from math import ceil

from flask import Blueprint, abort, current_app, flash, redirect, render_template, request, session, url_for
from werkzeug.wrappers import Response

from trainer.desk.access.passphrase import LONGEST, SHORTEST, Passphrase
from trainer.desk.access.resent_form import is_own_path, unpacked
from trainer.desk.access.sessions import KNOWN, DeskSession, Sessions
from trainer.desk.desk import desk
from trainer.errors import UsageError
from trainer.language import text

page = Blueprint("login", __name__)

PASSPHRASE = "passphrase"
"""Where the app keeps its Passphrase."""

MAY_CHOOSE = "may choose"
"""What the session holds that showed the token."""


@page.get("/login")
def show() -> str | Response:
    """Ask for the passphrase; without one yet, say how to set it."""
    if session.get(KNOWN):
        return redirect(_next(), 303)
    if not passphrase().is_set:
        return _choosing()
    return _asking()


@page.post("/login")
def enter() -> str | tuple[str, int] | Response:
    """Let in whoever gives the passphrase; guesses wait longer and longer."""
    secret, now = passphrase(), desk().now()
    if not secret.is_set:
        abort(403)
    if wait := secret.wait(now):
        return _asking(_wait_words(wait)), 429
    if not secret.fits(request.form.get("passphrase", ""), now):
        wait = secret.wait(now)
        return _asking(text("desk.login.wrong") + (f" {_wait_words(wait)}" if wait else "")), 403
    welcome()
    if desk().record.ink.doubtful(now):
        flash(text("settings.ink.look"))
    if form := unpacked(request.form.get("form", "")):
        return render_template("resent_form.html", form=form)
    return redirect(_next(), 303)


@page.get("/first")
def first() -> str | Response:
    """The first opening: the token in the address proves who opened the desk, and is then worthless."""
    if passphrase().is_set:
        return redirect(url_for("login.show"), 303)
    if passphrase().take(request.args.get("token", "")):
        session[MAY_CHOOSE] = True
        return redirect(url_for("login.first"), 303)  # the token leaves the address bar
    return _choosing()


@page.post("/first")
def choose() -> tuple[str, int] | Response:
    """Set the first passphrase."""
    if passphrase().is_set or not session.get(MAY_CHOOSE):
        abort(403)
    words = request.form.get("passphrase", "")
    if words != request.form.get("again", ""):
        return _choosing(text("desk.first.differ")), 400
    try:
        passphrase().set(words)
    except UsageError as error:
        return _choosing(str(error)), 400
    welcome()
    flash(text("desk.first.set"))
    return redirect(url_for("tomorrow.show"), 303)


@page.post("/logout")
def leave() -> Response:
    """End this session, here and in the browser."""
    session.clear()
    return redirect(url_for("login.show"), 303)


def passphrase() -> Passphrase:
    """The passphrase of this desk."""
    known: Passphrase = current_app.extensions[PASSPHRASE]
    return known


def welcome(*, alone: bool = False) -> None:
    """This session gave the passphrase: it goes on under a new key; with `alone`, every other one ends."""
    sessions, current = current_app.session_interface, session._get_current_object()  # type: ignore[attr-defined]
    assert isinstance(sessions, Sessions)
    assert isinstance(current, DeskSession)
    current.clear()
    sessions.renew(current)
    if alone:
        sessions.close_others(current)
    current[KNOWN] = True


def _asking(trouble: str = "") -> str:
    return render_template(
        "login.html",
        trouble=trouble,
        next=request.values.get("next", ""),
        form=request.form.get("form", ""),
    )


def _choosing(trouble: str = "") -> str:
    may = session.get(MAY_CHOOSE, False)
    return render_template("first.html", may=may, trouble=trouble, shortest=SHORTEST, longest=LONGEST)


def _next() -> str:
    wanted = request.values.get("next", "")
    return wanted if is_own_path(wanted) else url_for("tomorrow.show")


def _wait_words(wait: timedelta) -> str:
    return text("desk.login.wait", seconds=ceil(wait.total_seconds()))
