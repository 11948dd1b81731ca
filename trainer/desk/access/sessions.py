"""Who is looking: the sessions of this run of the desk, kept in its memory.

The browser's cookie holds nothing but a random key of 256 bits, so there is nothing in it to sign or to
read: no name in a message ever reaches the browser's cookie file. A session ends for good when it is
closed here, when nobody has used it for a while, and when the desk is closed. One in which there is nothing
takes no place here, so that programs that knock without end push nobody out.
"""

from __future__ import annotations

import hmac
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
"""What a session holds once the passphrase was given: which one it was (`Passphrase.mark`)."""

DOOR = "door"
"""The cookie of a browser in which the passphrase was given since the desk was opened."""


_KEY_LENGTH = 43
"""Characters of a key."""


class DeskSession(dict[str, Any], SessionMixin):
    """What the desk remembers of one browser; flask's `session` is one.

    `came_with` is the key that the browser showed.
    """

    def __init__(self, key: str, last_used: datetime, secret: bytes) -> None:
        super().__init__()
        self.key = self.came_with = key
        self.last_used = last_used
        self._secret = secret
        self._shown = False

    @property
    def token(self) -> str:
        """What every form of this session sends back; it follows from the key, and nobody can tell how."""
        self._shown = True
        return hmac.new(self._secret, self.key.encode(), "sha256").hexdigest()

    def renew(self) -> None:
        """Go on under a new key."""
        self.key = _key()

    @property
    def needs_cookie(self) -> bool:
        """Whether the browser must show the key next time: something is remembered, or a form was shown."""
        return bool(self) or self._shown


class Sessions(SessionInterface):
    """All sessions, by the keys that the browsers hold."""

    def __init__(self, now: Callable[[], datetime]) -> None:
        self._now = now
        self._all: dict[str, DeskSession] = {}
        self._secret = secrets.token_bytes(32)
        self._doors: dict[str, None] = {}

    def open_session(self, app: Flask, request: Request) -> DeskSession:  # noqa: ARG002 (flask hands it over)
        """The session whose key the browser shows, or a new one."""
        now = self._now()
        self._all = {key: session for key, session in self._all.items() if now - session.last_used <= IDLE}
        key = request.cookies.get(COOKIE, "")
        session = self._all.get(key)
        if session is None:
            is_ours = len(key) == _KEY_LENGTH
            session = DeskSession(key if is_ours else _key(), now, self._secret)
        session.came_with = key
        session.last_used = now
        return session

    def save_session(self, app: Flask, session: SessionMixin, response: Response) -> None:  # noqa: ARG002
        """Keep a session in which there is something, and give the browser its key."""
        assert isinstance(session, DeskSession)
        if session and session.key not in self._all:
            self._make_room()
            self._all[session.key] = session
        elif not session and self._all.pop(session.key, None) is not None:
            session.renew()
            response.delete_cookie(COOKIE, httponly=True, samesite="Strict")
            return
        if session.needs_cookie and session.key != session.came_with:
            response.set_cookie(COOKIE, session.key, httponly=True, samesite="Strict")

    def is_known(self, key: str) -> bool:
        """Whether the session with that key gave the passphrase."""
        session = self._all.get(key)
        return session is not None and bool(session.get(KNOWN))

    def open_door(self, response: Response) -> None:
        """This browser gave the passphrase: its owner is not made to wait because others guess."""
        key = _key()
        self._doors[key] = None
        if len(self._doors) > MOST:
            del self._doors[next(iter(self._doors))]
        response.set_cookie(DOOR, key, httponly=True, samesite="Strict")

    def has_door(self, request: Request) -> bool:
        """Whether the passphrase was given in this browser since the desk was opened."""
        return request.cookies.get(DOOR, "") in self._doors

    def renew(self, session: DeskSession) -> None:
        """Give the session a new key, so that one known from before the passphrase was given is worthless."""
        self._all.pop(session.key, None)
        session.renew()

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


def _key() -> str:
    return secrets.token_urlsafe(32)
