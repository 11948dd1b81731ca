"""The pages before the desk: choosing the passphrase, giving it, and leaving."""

from __future__ import annotations

from datetime import timedelta
from math import ceil

from flask import (
    Blueprint,
    Response,
    abort,
    after_this_request,
    current_app,
    flash,
    redirect,
    render_template,
    request,
    session,
    url_for,
)
from werkzeug.wrappers import Response as AnyResponse

from trainer.desk.access import accounts
from trainer.desk.access.passphrase import LONGEST, SHORTEST, STRANGERS, passphrase
from trainer.desk.access.resent_form import is_own_path, unpacked
from trainer.desk.access.sessions import KNOWN, DeskSession, Sessions
from trainer.desk.desk import desk
from trainer.errors import UsageError
from trainer.language import text

page = Blueprint("login", __name__)

MAY_CHOOSE = "may choose"
"""What the session holds that showed the token."""


@page.get("/login")
def show() -> str | AnyResponse:
    """Ask for the passphrase; without one yet, say how to set it."""
    if session.get(KNOWN):
        return redirect(_next(), 303)
    if not passphrase().is_set:
        return _choosing()
    return _asking()


@page.post("/login")
def enter() -> str | tuple[str, int] | AnyResponse:
    """Let in whoever gives the passphrase; the guesses of strangers wait longer and longer."""
    secret, now, lane = passphrase(), desk().now(), _lane()
    if not secret.is_set:
        abort(403)
    if wait := secret.wait(now, lane):
        return _asking(_wait_words(wait)), 429
    if not secret.fits(request.form.get("passphrase", ""), now, lane):
        wait = secret.wait(now, lane)
        return _asking(text("desk.login.wrong") + (f" {_wait_words(wait)}" if wait else "")), 403
    welcome()
    if desk().record.ink.doubtful(now):
        flash(text("settings.ink.look"))
    if form := unpacked(request.form.get("form", "")):
        return render_template("resent_form.html", form=form)
    return redirect(_next(), 303)


@page.get("/first")
def first() -> str | AnyResponse:
    """The first opening: who was invited chooses, others may type the code of the invitation."""
    if passphrase().is_set:
        return redirect(url_for("login.show"), 303)
    return _choosing()


@page.post("/invited")
def invited() -> str | tuple[str, int] | AnyResponse:
    """The code proves who opened the desk, and is then worthless. It comes from the page in the data folder.

    That is a page of no origin: after a redirect the browser would not show our cookie, so the answer is the
    page itself.
    """
    if passphrase().is_set:
        return redirect(url_for("login.show"), 303)
    if passphrase().invitation.take(request.form.get("code", ""), desk().now()):
        _renew()[MAY_CHOOSE] = True
        return _choosing()
    may = session.get(MAY_CHOOSE)  # the page was loaded again
    return _choosing() if may else (_choosing(text("desk.first.wrong_code")), 403)


@page.get("/invited")
def invited_again() -> AnyResponse:
    """The same address, typed or looked at again."""
    return redirect(url_for("login.first"), 303)


@page.post("/first")
def choose() -> tuple[str, int] | AnyResponse:
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
def leave() -> AnyResponse:
    """End this session, here and in the browser."""
    session.clear()
    return redirect(url_for("login.show"), 303)


def welcome(*, alone: bool = False) -> None:
    """This session gave the passphrase: it goes on under a new key; with `alone`, every other one ends."""
    current = _renew()
    current[KNOWN] = passphrase().mark
    if alone:
        _sessions().close_others(current)
    after_this_request(_open_door)


def _renew() -> DeskSession:
    """The session of this request, empty and under a new key."""
    current = session._get_current_object()  # type: ignore[attr-defined]
    assert isinstance(current, DeskSession)
    current.clear()
    _sessions().renew(current)
    return current


def _sessions() -> Sessions:
    sessions = current_app.session_interface
    assert isinstance(sessions, Sessions)
    return sessions


def _open_door(response: Response) -> Response:
    _sessions().open_door(response)
    return response


def _lane() -> str | None:
    """With whom a guess waits: with all strangers, or with nobody.

    A program of the account that runs the desk may read the record itself, and a browser in which the
    passphrase was given is the teacher's: whatever others do, what comes from there is looked at at once.
    """
    # a server may give them as numbers or as text, and not at all where it listens on no port
    port, desk_port = (str(request.environ.get(name, "")) for name in ("REMOTE_PORT", "SERVER_PORT"))
    is_own = port.isdecimal() and desk_port.isdecimal() and accounts.is_own(int(port), int(desk_port))
    return None if is_own or _sessions().has_door(request) else STRANGERS


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
