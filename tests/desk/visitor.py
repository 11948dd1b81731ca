"""Who tests the desk: a browser that behaves, the passphrase it knows, and the day it is."""

from __future__ import annotations

from datetime import datetime
from typing import Any

from argon2 import PasswordHasher
from flask.testing import FlaskClient
from werkzeug.test import TestResponse

from trainer.desk.access.sessions import DeskSession

PASSPHRASE = "nine boats at the pier"
HASH = PasswordHasher(time_cost=1, memory_cost=8, parallelism=1).hash(PASSPHRASE)
"""A hash that is quick to check; the desk's own ones are slow on purpose."""

TODAY = datetime(2026, 3, 13, 15, 30).astimezone()
"""The afternoon, wherever she is, on which the teacher sits down: a Friday, after the demo's last lesson."""


class Browser(FlaskClient):
    """A client that sends the session's token with every form, as the pages' own forms do."""

    def token(self) -> str:
        """The token of this session, as a page would show it."""
        with self.session_transaction() as session:
            assert isinstance(session, DeskSession)
            return session.token

    def post(self, *args: Any, token: bool = True, **options: Any) -> TestResponse:
        """Send a form; without `token`, one that forgets it."""
        if token:
            options["headers"] = {"X-CSRF-Token": self.token(), **dict(options.get("headers", {}))}
        return super().post(*args, **options)
