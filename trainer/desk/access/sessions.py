"""Who is looking: the sessions of this run of the desk, kept in its memory.

The browser's cookie holds nothing but a random key of 256 bits, so there is nothing in it to sign or to
read: no name in a message ever reaches the browser's cookie file. A session ends for good when it is
closed here, when nobody has used it for a while, and when the desk is closed.
"""

from __future__ import annotations

import secrets
from collections.abc import Callable
from datetime import datetime, timedelta
from typing import Any

from flask import Flask, Request, Response
from flask.sessions import SessionInterface, SessionMixin

COOKIE = "desk"
IDLE = timedelta(minutes=30)
"""A teacher called away from an open desk leaves it open for so long at most."""

MOST = 200
"""Sessions kept at a time: programs that knock without end fill no memory."""

KNOWN = "known"
"""What a session holds once the passphrase was given."""


class DeskSession(dict[str, Any], SessionMixin):
    """What the desk remembers of one browser; flask's `session` is one."""

    def __init__(self, key: str, last_used: datetime) -> None:
        super().__init__()
        self.key = key
        self.last_used = last_used


class Sessions(SessionInterface):
    """All sessions, by the keys that the browsers hold."""

    def __init__(self, now: Callable[[], datetime]) -> None:
        self._now = now
        self._all: dict[str, DeskSession] = {}

    def open_session(self, app: Flask, request: Request) -> DeskSession:  # noqa: ARG002 (flask hands it over)
        """The session whose key the browser shows, or a new one."""
        now = self._now()
        self._all = {key: session for key, session in self._all.items() if now - session.last_used <= IDLE}
        session = self._all.get(request.cookies.get(COOKIE, ""), DeskSession(secrets.token_urlsafe(32), now))
        session.last_used = now
        return session

    def save_session(self, app: Flask, session: SessionMixin, response: Response) -> None:  # noqa: ARG002
        """Keep a session in which there is something, and give the browser its key."""
        assert isinstance(session, DeskSession)
        if not session:
            if self._all.pop(session.key, None) is not None:
                response.delete_cookie(COOKIE, httponly=True, samesite="Strict")
            return
        if session.key not in self._all:
            self._make_room()
            self._all[session.key] = session
            response.set_cookie(COOKIE, session.key, httponly=True, samesite="Strict")

    def renew(self, session: DeskSession) -> None:
        """Give the session a new key, so that one known from before the passphrase was given is worthless."""
        self._all.pop(session.key, None)
        session.key = secrets.token_urlsafe(32)

    def close_others(self, session: DeskSession | None) -> None:
        """End every session but this one."""
        self._all = {key: other for key, other in self._all.items() if other is session}

    def _make_room(self) -> None:
        """Sessions without the passphrase go first, those unused for longest."""
        if len(self._all) >= MOST:
            oldest = min(
                self._all.values(), key=lambda session: (bool(session.get(KNOWN)), session.last_used)
            )
            del self._all[oldest.key]
