"""Opening the desk: served from this machine to this machine, and shown in the browser."""

from __future__ import annotations

import logging
import os
import socket
import webbrowser
from contextlib import suppress
from dataclasses import dataclass
from typing import Any

from waitress.server import create_server  # type: ignore[import-untyped]

from trainer.desk.access.login import PASSPHRASE
from trainer.desk.access.passphrase import Passphrase
from trainer.desk.app import LARGEST_UPLOAD, create_app
from trainer.desk.desk import Desk
from trainer.errors import UsageError
from trainer.language import text

HERE = "127.0.0.1"
"""The desk listens here and nowhere else: no other machine can reach this address."""

LARGEST_PORT = 65535


def serve(desk: Desk, *, port: int = 0, browser: bool = True, forget: bool = False) -> None:
    """Serve the desk until Ctrl-C; port 0 is any free one. With `forget`, a new passphrase is chosen.

    Raises UsageError for a port that cannot be had.
    """
    service = Service.open(desk, port=port, forget=forget)
    try:
        with suppress(KeyboardInterrupt):  # waitress minds it itself, but only once it runs
            print(text("desk.open", address=service.address), flush=True)
            if browser and not webbrowser.open(service.address):
                print(text("desk.no_browser"), flush=True)
            service.run()
    finally:
        service.close()
        print(text("desk.closed"), flush=True)


@dataclass(frozen=True)
class Service:
    """A desk that listens at `address`, which has the token of the first opening where one is needed."""

    address: str
    _server: Any

    @classmethod
    def open(cls, desk: Desk, *, port: int = 0, forget: bool = False) -> Service:
        """Listen, without answering yet.

        One worker answers the requests one after the other, because the record is used by one thread at
        a time and one teacher sits at the desk; it also means that erasing never finds a reader of our
        own. Slow browsers do not hold it up: waitress takes in and hands out the bytes beside it.
        """
        logging.getLogger("waitress.queue").setLevel(logging.ERROR)  # a short queue is no news here
        listening = _listen(port)
        port = listening.getsockname()[1]
        app = create_app(desk, hosts={f"{HERE}:{port}", f"localhost:{port}"})
        passphrase: Passphrase = app.extensions[PASSPHRASE]
        if forget:
            passphrase.forget()
        first = "" if passphrase.is_set else f"first?token={passphrase.token}"
        server = create_server(
            app,
            sockets=[listening],
            threads=1,
            ident=None,
            max_request_body_size=2 * LARGEST_UPLOAD,  # the app's own limit comes first, with a page
        )
        return cls(f"http://{HERE}:{port}/{first}", server)

    def run(self) -> None:
        """Answer until Ctrl-C, or until it is closed from another thread."""
        self._server.run()

    def close(self) -> None:
        """Stop listening, once what is being answered has its answer."""
        self._server.task_dispatcher.shutdown()
        self._server.close()


def _listen(port: int) -> socket.socket:
    if not 0 <= port <= LARGEST_PORT:
        raise UsageError(f"--port must be 1 to {LARGEST_PORT}, or 0 for any free one, not {port}")
    listening = socket.socket(socket.AF_INET, socket.SOCK_STREAM)
    if os.name == "posix":  # so that the desk can be opened again at once; elsewhere it would share the port
        listening.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
    try:
        listening.bind((HERE, port))
    except OSError as error:
        listening.close()
        raise UsageError(f"--port must be free on this machine, {port} is not: {error.strerror}") from error
    return listening
