"""What is handed in stays in memory: a list of children lies in no file of its own, not for a moment.

It waits in the session alone, for a short time, until the teacher has looked at it and decides.
"""

from __future__ import annotations

import secrets
from dataclasses import dataclass
from datetime import datetime, timedelta
from io import BytesIO
from typing import IO, Generic, TypeVar

from flask import Request, session

from trainer.desk.desk import desk

MINUTES = 15
"""How long what was handed in waits."""

Content = TypeVar("Content")


class MemoryRequest(Request):
    """A request whose files are kept in memory, whatever their size; the app bounds that."""

    def _get_file_stream(
        self,
        total_content_length: int | None,  # noqa: ARG002 (werkzeug hands them over)
        content_type: str | None,  # noqa: ARG002
        filename: str | None = None,  # noqa: ARG002
        content_length: int | None = None,  # noqa: ARG002
    ) -> IO[bytes]:
        return BytesIO()


@dataclass(frozen=True)
class Waiting(Generic[Content]):
    """What was handed in from `source`, a file or a folder, and is not taken in yet."""

    token: str
    until: datetime
    source: str
    content: Content


@dataclass(frozen=True)
class Slot(Generic[Content]):
    """The place of a session for one thing at a time that waits, by its name there."""

    name: str

    def put(self, source: str, content: Content) -> str:
        """Let it wait in place of what was there; gives the token by which it is found."""
        until = desk().now() + timedelta(minutes=MINUTES)
        session[self.name] = Waiting(secrets.token_urlsafe(16), until, source, content)
        return str(session[self.name].token)

    def find(self, token: str) -> Waiting[Content] | None:
        """What waits under that token, if its time is not over."""
        waiting = session.get(self.name)
        if isinstance(waiting, Waiting) and secrets.compare_digest(waiting.token.encode(), token.encode()):
            if desk().now() <= waiting.until:
                return waiting
            self.empty()
        return None

    def empty(self) -> None:
        """It was taken in, or is not wanted."""
        session.pop(self.name, None)
