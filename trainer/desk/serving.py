"""Opening the desk: served from this machine to this machine, and shown in the browser."""

from __future__ import annotations

import logging
import os
import socket
import sys
import webbrowser
from collections.abc import Iterator
from contextlib import suppress
from dataclasses import dataclass
from pathlib import Path
from threading import Thread
from typing import Any

from strokes.files import SHIPPED
from trainer.desk import connections
from trainer.desk.access.passphrase import PASSPHRASE, Passphrase
from trainer.desk.app import LARGEST_UPLOAD, create_app
from trainer.desk.desk import Desk
from trainer.errors import UsageError
from trainer.language import text
from trainer.teaching import PRINT, alphabet_in, load_solver

HERE = "127.0.0.1"
"""The desk listens here and nowhere else: no other machine can reach this address."""

LARGEST_PORT = 65535


def serve(desk: Desk, *, folder: Path, port: int = 0, browser: bool = True, forget: bool = False) -> None:
    """Serve the desk until Ctrl-C; port 0 is any free one. With `forget`, a new passphrase is chosen.

    A page in the data `folder` invites whoever opened the desk to choose the first passphrase. Raises
    UsageError for a port that cannot be had, PlaceError where the page cannot be written.
    """
    service = Service.open(desk, folder, port=port, forget=forget)
    try:
        with suppress(KeyboardInterrupt, SystemExit):  # waitress minds them itself, but only once it runs
            # in one piece, whenever Ctrl-C comes
            print("".join(f"{line}\n" for line in service.said()), end="", flush=True)
            Thread(target=_read_ahead, daemon=True).start()
            if browser:  # beside the server, which answers already
                Thread(target=_show, args=(service.shown,), daemon=True).start()
            service.run()
    finally:
        service.close()
        print(text("desk.closed"), flush=True)


@dataclass(frozen=True)
class Service:
    """A desk that listens at `address`.

    `page` is the file that invites to choose the passphrase; None where there is one.
    """

    address: str
    page: Path | None
    _passphrase: Passphrase
    _server: Any

    @classmethod
    def open(cls, desk: Desk, folder: Path, *, port: int = 0, forget: bool = False) -> Service:
        """Listen; nothing that takes long stands between this and `run`.

        One worker answers the requests one after the other, because the record is used by one thread at
        a time and one teacher sits at the desk; it also means that erasing never finds a reader of our
        own. Slow browsers do not hold it up: waitress takes in and hands out the bytes beside it.
        """
        logging.getLogger("waitress.queue").setLevel(logging.ERROR)  # a short queue is no news here
        bound = _bound(port)
        port = bound.getsockname()[1]
        address = f"http://{HERE}:{port}/"
        try:
            app = create_app(desk, hosts={f"{HERE}:{port}", f"localhost:{port}"})
            passphrase: Passphrase = app.extensions[PASSPHRASE]
            if forget:
                passphrase.forget()
            page = None
            if not passphrase.is_set:
                template = app.jinja_env.get_template("invitation.html")
                content = template.render(address=address, code=passphrase.invitation.code)
                page = passphrase.invitation.write(folder, content)
            listening = connections.server(app, bound, largest=2 * LARGEST_UPLOAD)
        except BaseException:
            bound.close()
            raise
        return cls(address, page, passphrase, listening)

    @property
    def shown(self) -> str:
        """What the browser opens; no secret is in it, as others see the words of its command line."""
        return self.page.absolute().as_uri() if self.page else self.address

    def said(self) -> Iterator[str]:
        """What is said in the terminal; the code only where a person looks at it and no file takes it."""
        yield text("desk.open", address=self.address)
        if self.page is None:
            return
        yield text("desk.invited", page=self.page.absolute())
        if sys.stdout.isatty():
            yield text("desk.code", code=self._passphrase.invitation.code, address=f"{self.address}first")

    def run(self) -> None:
        """Answer until Ctrl-C, or until it is closed from another thread."""
        connections.run(self._server)

    def close(self) -> None:
        """Stop listening, once what is being answered has its answer."""
        self._passphrase.invitation.withdraw()
        connections.close(self._server)


def _read_ahead() -> None:
    """What the first page needs besides the record, so that it takes no longer than any other."""
    load_solver()
    alphabet_in(SHIPPED / PRINT)


def _show(address: str) -> None:
    if not webbrowser.open(address):
        print(text("desk.no_browser"), flush=True)


def _bound(port: int) -> socket.socket:
    if not 0 <= port <= LARGEST_PORT:
        raise UsageError(f"--port must be 1 to {LARGEST_PORT}, or 0 for any free one, not {port}")
    bound = socket.socket(socket.AF_INET, socket.SOCK_STREAM)
    if os.name == "posix":  # so that the desk can be opened again at once; elsewhere it would share the port
        bound.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
    try:
        bound.bind((HERE, port))
    except OSError as error:
        bound.close()
        raise UsageError(f"--port must be free on this machine, {port} is not: {error.strerror}") from error
    return bound
