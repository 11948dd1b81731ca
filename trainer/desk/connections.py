"""The connections of the desk: how many there are, how much a stranger may send, what a refusal carries.

Whoever gave the passphrase comes first: idle and slow connections of other programs give way to new ones.
Nothing that is sent or answered lies in a file of its own on the way, because it may name children.
"""

from __future__ import annotations

import time
from collections import deque
from functools import partial
from http.cookies import CookieError, SimpleCookie
from threading import Event
from typing import Any

from flask import Flask
from waitress import wasyncore  # type: ignore[import-untyped]
from waitress.channel import HTTPChannel  # type: ignore[import-untyped]
from waitress.parser import HTTPRequestParser  # type: ignore[import-untyped]
from waitress.server import create_server  # type: ignore[import-untyped]
from waitress.task import ErrorTask  # type: ignore[import-untyped]
from waitress.utilities import BadRequest, RequestEntityTooLarge  # type: ignore[import-untyped]

from trainer.desk.access import guard
from trainer.desk.access.sessions import COOKIE, Sessions
from trainer.language import text

MOST = 60
"""Connections at a time; a browser opens six."""

MOST_OF_STRANGER = 512 * 1024
"""Bytes of a request without a session: a passphrase, and a form that came after the session had ended."""

IN_MEMORY = 2**30
"""Bytes up to which a request or an answer stays in memory: always, as both are bounded before."""

SAID = {431: 400, 501: 400}
"""The answers that say what another one says."""


def server(app: Flask, listening: object, *, largest: int) -> Any:
    """A server of waitress for the app with one worker, at a socket that is bound; it listens from now on."""
    made = create_server(
        app,
        sockets=[listening],
        threads=1,
        ident=None,
        max_request_body_size=largest,
        connection_limit=4 * MOST,  # never reached: older ones give way before
        inbuf_overflow=IN_MEMORY,
        outbuf_overflow=IN_MEMORY,
        outbuf_high_watermark=IN_MEMORY,
    )
    made.sessions = app.session_interface
    made.channel_class = _Connection
    made.task_dispatcher.queue = made.waiting = Waiting()
    made.running = False
    return made


def run(server: Any) -> None:
    """Answer until Ctrl-C, or until `close` is called in another thread."""
    server.running = True
    try:
        server.run()
    finally:
        server.running = False
        wasyncore.close_all(server._map)


def close(server: Any) -> None:
    """Stop listening, once what is being answered has its answer."""
    server.task_dispatcher.shutdown()
    end = partial(wasyncore.close_all, server._map)
    if server.running:  # in its own thread, which must not wait at sockets that are closed
        server.trigger.pull_trigger(end)
    else:
        end()


class _Refusal(ErrorTask):  # type: ignore[misc]
    """What waitress answers itself, where no page is reached: with our headers, and a sentence of ours."""

    def execute(self) -> None:
        """Say it as plain text."""
        error = self.request.error
        self.status = f"{error.code} {error.reason}"
        body = text(f"desk.fault.{SAID.get(error.code, error.code)}").encode()
        self.response_headers += [
            ("Content-Type", "text/plain; charset=utf-8"),
            ("Cache-Control", "no-store"),
            *guard.HEADERS.items(),
        ]
        self.set_close_on_finish()
        self.content_length = len(body)
        self.write(body)


class _Connection(HTTPChannel):  # type: ignore[misc]
    """A connection that knows whether the passphrase was given over it."""

    error_task_class = _Refusal

    def __init__(self, server: Any, *arguments: Any, **options: Any) -> None:
        self.known = False
        super().__init__(server, *arguments, **options)
        others = [channel for channel in server.active_channels.values() if channel is not self]
        if len(others) >= MOST:
            oldest = min(others, key=lambda other: (other.known, bool(other.requests), other.creation_time))
            oldest.handle_close()

    def parser_class(self, adj: Any) -> HTTPRequestParser:
        """What reads the next request of this connection."""
        return _Request(adj, self)

    def service(self) -> None:
        """Answer; after a stranger the worker rests as long as that took, unless somebody known waits."""
        begun = time.monotonic()
        super().service()
        if not self.known:
            self.server.waiting.somebody_known.wait(time.monotonic() - begun)


class Waiting(deque[_Connection]):
    """The connections whose requests wait for the worker: those of who gave the passphrase come first."""

    def __init__(self) -> None:
        super().__init__()
        self.somebody_known = Event()

    def append(self, connection: _Connection) -> None:
        """Take a place in the line."""
        if connection.known:
            self.insert(sum(other.known for other in self), connection)
            self.somebody_known.set()
        else:
            super().append(connection)

    def popleft(self) -> _Connection:
        """Whose turn it is."""
        connection = super().popleft()
        if not (self and self[0].known):
            self.somebody_known.clear()
        return connection


class _Request(HTTPRequestParser):  # type: ignore[misc]
    """A request whose length is bounded before its body is taken in: strangers have little to say."""

    def __init__(self, adj: Any, connection: _Connection) -> None:
        super().__init__(adj)
        self._connection = connection

    def parse_header(self, header_plus: bytes) -> None:
        """Read the head, and refuse a body that is too long for who sends it."""
        super().parse_header(header_plus)
        sessions = self._connection.server.sessions
        assert isinstance(sessions, Sessions)
        known = sessions.is_known(_key(self.headers.get("COOKIE", "")))
        self._connection.known = self._connection.known or known
        if known:
            return
        if self.chunked:  # no browser sends a form in pieces of unknown number
            self.error, self.completed = BadRequest(""), True
        elif self.content_length > MOST_OF_STRANGER:
            self.error, self.completed = RequestEntityTooLarge(""), True


def _key(cookies: str) -> str:
    try:
        cookie = SimpleCookie(cookies).get(COOKIE)
    except CookieError:
        return ""
    return cookie.value if cookie else ""
