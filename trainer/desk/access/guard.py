"""What every request must pass: the right address, the same origin, a token for each change, the passphrase.

The desk listens on this machine only, but other programs and web pages of this machine can reach it: a
page on the web may point its own host name here (the Host header tells), or send a form here (the Origin
header and the token tell).
"""

from __future__ import annotations

import secrets
from collections.abc import Collection

from flask import (
    Flask,
    Response,
    abort,
    flash,
    make_response,
    redirect,
    render_template,
    request,
    session,
    url_for,
)
from werkzeug.wrappers import Response as AnyResponse

from trainer.desk.access.passphrase import passphrase
from trainer.desk.access.resent_form import TOKEN, sent
from trainer.desk.access.sessions import KNOWN, DeskSession
from trainer.language import text

OPEN = frozenset(
    {"static", "font.face"}
    | {f"login.{view}" for view in ("show", "enter", "first", "choose", "invited", "invited_again")}
)
"""What can be asked for without the passphrase."""

FROM_FILE = frozenset({"login.invited"})
"""What a page without an origin may send: that in the data folder, with a code worth more than a token."""

LASTING = frozenset({"static", "font.face"})
"""What holds nothing of the record, and may be kept by the browser."""

SAFE = frozenset({"GET", "HEAD", "OPTIONS"})

POLICY = "; ".join(
    (
        "default-src 'none'",
        "script-src 'self'",
        "style-src 'self'",
        "img-src 'self'",
        "font-src 'self'",
        "connect-src 'self'",
        "form-action 'self'",
        "base-uri 'none'",
        "frame-ancestors 'none'",
    )
)
"""Nothing from the network, nothing inline, nothing framed."""

HEADERS = {
    "Content-Security-Policy": POLICY,
    "X-Content-Type-Options": "nosniff",
    "X-Frame-Options": "DENY",
    "Referrer-Policy": "same-origin",  # with no-referrer, browsers send `Origin: null` with our own forms
    "Cross-Origin-Opener-Policy": "same-origin",
    "Cross-Origin-Resource-Policy": "same-origin",
    "Permissions-Policy": "camera=(), microphone=(), geolocation=()",
}


def guard(app: Flask, hosts: Collection[str]) -> None:
    """Guard every view of the app; `hosts` are the names and ports it is reached by."""

    @app.before_request
    def refuse() -> AnyResponse | None:
        if request.environ.get("HTTP_HOST", "") not in hosts:
            abort(400)
        if session.get(KNOWN) and session[KNOWN] != passphrase().mark:  # changed here or in another desk
            session.clear()
        if request.method not in SAFE and request.endpoint not in FROM_FILE:
            _check_origin()
        if request.endpoint not in OPEN and not session.get(KNOWN):
            return _to_login()
        if request.method not in SAFE and request.endpoint not in FROM_FILE and not _has_token():
            if request.endpoint == "login.enter":  # the page lay open for longer than its session
                flash(text("desk.login.stale"))
                return _to_login()
            abort(403)
        return None

    @app.after_request
    def add_headers(response: Response) -> Response:
        for name, value in HEADERS.items():
            response.headers.setdefault(name, value)
        response.headers["Cache-Control"] = "no-cache" if request.endpoint in LASTING else "no-store"
        return response


def csrf_token() -> str:
    """The token that every form of this session sends back."""
    return _session().token


def _check_origin() -> None:
    """A browser says where a form comes from; other programs say nothing and still need the token."""
    origin, site = request.headers.get("Origin"), request.headers.get("Sec-Fetch-Site")
    if origin not in (None, f"http://{request.environ['HTTP_HOST']}") or site not in (None, "same-origin"):
        abort(403)


def _has_token() -> bool:
    given = request.headers.get("X-CSRF-Token") or request.form.get(TOKEN, "")
    return secrets.compare_digest(given.encode(), _session().token.encode())


def _session() -> DeskSession:
    current = session._get_current_object()  # type: ignore[attr-defined]
    assert isinstance(current, DeskSession)
    return current


def _to_login() -> AnyResponse:
    """Ask for the passphrase first; a form that came after the session had ended is kept on that page."""
    if request.method not in SAFE and request.endpoint not in OPEN and (form := sent()):
        words = text("desk.login.ended")
        return make_response(render_template("login.html", trouble=words, form=form.packed()), 403)
    wanted = request.full_path.rstrip("?") if request.method in SAFE and request.endpoint else "/"
    return redirect(url_for("login.show", next=wanted if wanted != "/" else None), 303)
