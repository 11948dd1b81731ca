"""A window that the desk opens on its own record, for practice or the wall: a process, one of each at a time.

No shell is between, and no word of it comes from a form: a request only says that a window is wanted, and at
most the number of what is kept. What it says goes into two files for its owner alone, not into a pipe that
would break when the desk is closed.
"""

from __future__ import annotations

import os
import subprocess
import sys
import tempfile
import time
from collections.abc import Mapping, Sequence
from contextlib import suppress
from datetime import datetime
from pathlib import Path
from types import TracebackType
from typing import Literal, Self, TypeAlias

import trainer

State: TypeAlias = Literal["closed", "opening", "open", "failed", "broken"]

PATIENCE = 8.0
"""Seconds that a request waits for the window; it opens in one or two, and goes on opening afterwards."""

ENDING = 5.0
"""Seconds in which a window that must close keeps what is under the pen."""

_OFTEN = 0.05
_SECOND_SCREEN = ("--screen", "2")


class PracticeWindow:
    """Opens what `trainer practice`, or another `command`, with these `words` opens; `typed` is that line.

    On a machine with two screens it fills the second one. `variables` are for its environment, which no
    other account can read, as it can a command line. A window that `lasts` stays when the desk is closed;
    another one is closed with it, as its record is gone then. `program` is a seam for tests.
    """

    def __init__(
        self,
        words: Sequence[str] = (),
        *,
        command: str = "practice",
        typed: str = "trainer practice",
        variables: Mapping[str, str] | None = None,
        lasts: bool = True,
        program: Sequence[str] = (sys.executable, "-m", "trainer"),
    ) -> None:
        self.typed = typed
        self.lasts = lasts
        self.since: datetime | None = None
        self.line = (*program, command, *words, *_SECOND_SCREEN)
        self.variables = {"PYTHONIOENCODING": "utf-8", **(variables or {})}
        self.process: subprocess.Popen[bytes] | None = None
        self._refusal = ""
        self._temporary = tempfile.TemporaryDirectory(prefix="trainer-window-", ignore_cleanup_errors=True)

    def open(self, now: datetime, *more: str) -> State:
        """Start it unless it is there already, with `more` words, and wait a while for what comes of it."""
        if self.state in ("opening", "open"):
            return "open"
        self.since, self._refusal = now, ""
        with (self.folder / "said").open("wb") as said, (self.folder / "trouble").open("wb") as trouble:
            try:
                self.process = subprocess.Popen(
                    (*self.line, *more),
                    stdin=subprocess.DEVNULL,
                    stdout=said,
                    stderr=trouble,
                    env=os.environ | self.variables,
                    cwd=Path(trainer.__file__).parents[1],  # there is no other `trainer` for -m to find
                    start_new_session=os.name == "posix",  # Ctrl-C and a terminal's end are for the desk
                    creationflags=getattr(subprocess, "CREATE_NEW_PROCESS_GROUP", 0),
                )
            except OSError as error:
                self.process, self._refusal = None, f"{self.line[0]}: {error.strerror}"
        until = time.monotonic() + PATIENCE
        while self.state == "opening" and time.monotonic() < until:
            time.sleep(_OFTEN)
        return self.state

    @property
    def state(self) -> State:
        """How it is with the window that was opened last: `failed` if it never came, `broken` if later."""
        if self.process is None:
            return "failed" if self._refusal else "closed"
        code, was_seen = self.process.poll(), bool((self.folder / "said").stat().st_size)
        if code is None:
            return "open" if was_seen else "opening"
        return ("broken" if was_seen else "failed") if code else "closed"

    @property
    def reason(self) -> str:
        """The last line of what a window that failed complained of, or why it could not even be begun."""
        if self._refusal:
            return self._refusal
        lines = (self.folder / "trouble").read_text(encoding="utf-8", errors="replace").split("\n")
        last = next((line for line in reversed(lines) if line.strip()), "")
        return last.partition("trainer: ")[2] or last

    def close(self) -> None:
        """The desk is closed: a window that does not last is told to end, and then made to."""
        if self.process is not None and self.process.poll() is None and not self.lasts:
            self.process.terminate()
            with suppress(subprocess.TimeoutExpired):
                self.process.wait(ENDING)
            if self.process.poll() is None:
                self.process.kill()
                self.process.wait()
        self.process, self._refusal = None, ""
        self._temporary.cleanup()

    def __enter__(self) -> Self:
        return self

    def __exit__(
        self, _: type[BaseException] | None, _error: BaseException | None, _where: TracebackType | None
    ) -> None:
        self.close()

    @property
    def folder(self) -> Path:
        """Where the files `said` and `trouble` lie."""
        return Path(self._temporary.name)
