"""Who is looking: the visits of this run of the desk, kept in its memory.

The browser's cookie holds nothing but a random key of 256 bits, so there is nothing in it to sign or to
read: no name in a message ever reaches the browser's cookie file. A visit ends for good when it is
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
"""Visits kept at a time: programs that knock without end fill no memory."""

KNOWN = "known"
"""What a visit holds once the passphrase was given."""


class Visit(dict[str, Any], SessionMixin):
    """What the desk remembers of one browser; flask's `session` is one."""

    def __init__(self, key: str, seen: datetime) -> None:
        super().__init__()
        self.key = key
        self.seen = seen


class Visits(SessionInterface):
    """All visits, by the keys that the browsers hold."""

    def __init__(self, now: Callable[[], datetime]) -> None:
        self._now = now
        self._all: dict[str, Visit] = {}

    def open_session(self, app: Flask, request: Request) -> Visit:  # noqa: ARG002 (flask hands it over)
        """The visit whose key the browser shows, or a new one."""
        now = self._now()
        self._all = {key: visit for key, visit in self._all.items() if now - visit.seen <= IDLE}
        visit = self._all.get(request.cookies.get(COOKIE, ""), Visit(secrets.token_urlsafe(32), now))
        visit.seen = now
        return visit

    def save_session(self, app: Flask, session: SessionMixin, response: Response) -> None:  # noqa: ARG002
        """Keep a visit in which there is something, and give the browser its key."""
        assert isinstance(session, Visit)
        if not session:
            if self._all.pop(session.key, None) is not None:
                response.delete_cookie(COOKIE, httponly=True, samesite="Strict")
            return
        if session.key not in self._all:
            self._make_room()
            self._all[session.key] = session
            response.set_cookie(COOKIE, session.key, httponly=True, samesite="Strict")

    def renew(self, visit: Visit) -> None:
        """Give the visit a new key, so that one known from before the passphrase was given is worthless."""
        self._all.pop(visit.key, None)
        visit.key = secrets.token_urlsafe(32)

    def close_others(self, visit: Visit | None) -> None:
        """End every visit but this one."""
        self._all = {key: one for key, one in self._all.items() if one is visit}

    def _make_room(self) -> None:
        """Visits without the passphrase go first, those unused for longest."""
        if len(self._all) >= MOST:
            oldest = min(self._all.values(), key=lambda visit: (bool(visit.get(KNOWN)), visit.seen))
            del self._all[oldest.key]
