"""A proxy between screens and a PostgreSQL server, both on sockets of this machine, that fails on demand."""

from __future__ import annotations

import shutil
import socket
import tempfile
from contextlib import suppress
from pathlib import Path
from threading import Condition, Event, Thread
from typing import Literal, Self, TypeAlias

from tests.server import Server

SOCKET = ".s.PGSQL.5432"
COMMIT = b"COMMIT\x00"


Pair: TypeAlias = tuple[socket.socket, socket.socket]
"""A connection: the screen's side, and that to the server."""


class Proxy:
    """Passes on what comes, unless it is told to fail.

    `accepts` is whether new connections are let through. `cut_at` is where the next COMMIT is cut off: before
    the server gets it, or after the server has answered and before the screen hears of that.
    """

    def __init__(self, server: Server) -> None:
        self.accepts = True
        self.cut_at: Literal["before", "after"] | None = None
        self.was_cut = Event()
        self._server = server
        self._folder = Path(tempfile.mkdtemp(prefix="px-"))
        self._flowing = True
        self._change = Condition()
        self._pairs: set[Pair] = set()
        self._door = socket.socket(socket.AF_UNIX)
        self._door.bind(str(self._folder / SOCKET))
        self._door.listen(100)
        Thread(target=self._accept, daemon=True).start()

    def address(self, database: str) -> str:
        """The address of a database of the server by way of this proxy."""
        return f"postgresql://postgres@/{database}?host={self._folder}"

    def hold(self, held: bool) -> None:
        """Pass nothing on until it is told otherwise: the network is silent, and no connection breaks."""
        with self._change:
            self._flowing = not held
            self._change.notify_all()

    def cut(self) -> None:
        """Close every connection, in the middle of whatever it is doing."""
        for pair in list(self._pairs):
            self._close(pair)

    def close(self) -> None:
        """Let nothing through any more."""
        self.accepts = False
        self._door.close()
        self.cut()
        self.hold(False)
        shutil.rmtree(self._folder)

    def __enter__(self) -> Self:
        return self

    def __exit__(self, *_: object) -> None:
        self.close()

    def _accept(self) -> None:
        with suppress(OSError):  # the door was closed
            while True:
                screen, _ = self._door.accept()
                server = socket.socket(socket.AF_UNIX)
                try:
                    if not self.accepts:
                        raise ConnectionRefusedError
                    server.connect(str(self._server.folder / SOCKET))
                except OSError:
                    screen.close()
                    server.close()
                    continue
                pair = (screen, server)
                self._pairs.add(pair)
                commits = Event()  # the next answer is one that the screen must not hear
                Thread(target=self._pump, args=(pair, screen, server, commits), daemon=True).start()
                Thread(target=self._pump, args=(pair, server, screen, commits), daemon=True).start()

    def _pump(self, pair: Pair, source: socket.socket, to: socket.socket, commits: Event) -> None:
        """Pass on in one direction until one side is gone."""
        from_screen = source is pair[0]
        with suppress(OSError):
            while data := source.recv(65536):
                with self._change:
                    self._change.wait_for(lambda: self._flowing)
                if from_screen and COMMIT in data and self.cut_at is not None:
                    if self.cut_at == "before":
                        self._was_cut()
                        break
                    commits.set()
                elif not from_screen and commits.is_set():
                    self._was_cut()
                    break
                to.sendall(data)
        self._close(pair)

    def _was_cut(self) -> None:
        self.cut_at = None
        self.was_cut.set()

    def _close(self, pair: Pair) -> None:
        self._pairs.discard(pair)
        for side in pair:
            with suppress(OSError):
                side.shutdown(socket.SHUT_RDWR)
            side.close()
