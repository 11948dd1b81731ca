"""A process of its own for an engine: when a C library crashes or hangs, the window does not.

A thread would keep the window responsive too, but not alive. What is asked goes to the process as one line of
JSON; back come a line with the rate and the number of bytes, and then the samples (16 bits, one channel).
"""

from __future__ import annotations

import json
import logging
import subprocess
import sys
import time
from collections.abc import Sequence
from contextlib import suppress
from pathlib import Path
from threading import Lock, Timer
from typing import IO

from trainer.speech.sound import Sound

LONGEST_WAIT = 30.0
"""Seconds for one answer; a neural voice takes some of them to load."""
LARGEST = 16 * 2**20
"""Bytes of one answer: several minutes; more is no sentence but a fault."""
TRIES = 2
"""How often one thing is asked: a process that ended in the middle is started once more."""
PAUSE = 30.0
"""Seconds in which an engine that failed is not asked again."""

_log = logging.getLogger(__name__)


class Worker:
    """The process that runs `script`; it is started when something is asked, and again when it has ended."""

    def __init__(self, script: Path, arguments: Sequence[str] = (), *, wait: float = LONGEST_WAIT) -> None:
        # -P: the folder of the script is not searched for modules
        self.command = [sys.executable, "-P", str(script), *arguments]
        self.wait = wait
        self._process: subprocess.Popen[bytes] | None = None
        self._lock = Lock()
        self._rests_until = 0.0
        self._closed = False

    @property
    def usable(self) -> bool:
        """Whether it is worth asking: not for a while after it failed."""
        return not self._closed and time.monotonic() >= self._rests_until

    @property
    def pid(self) -> int | None:
        """The number of the process, if one runs."""
        return self._process.pid if self._process is not None else None

    def ask(self, text: str) -> Sound | None:
        """The sound of a text, in the engine's own notation; None where the engine cannot."""
        with self._lock:
            for _ in range(TRIES):
                try:
                    return self._ask(text)
                except (OSError, EOFError, ValueError) as error:
                    if not self._closed:
                        _log.warning("the voice's process ended and is started again: %s", error)
                    self._end()
            self._rests_until = time.monotonic() + PAUSE
            return None

    def close(self) -> None:
        """End the process."""
        self._closed = True
        process = self._process  # another thread may be about to end it
        if process is not None:
            process.kill()  # what waits in `ask` gets an end of file
        with self._lock:
            self._end()

    def _ask(self, text: str) -> Sound | None:
        process = self._running()
        assert process.stdin is not None
        assert process.stdout is not None
        watchdog = Timer(self.wait, process.kill)
        watchdog.daemon = True
        watchdog.start()
        try:
            process.stdin.write(json.dumps(text).encode() + b"\n")
            process.stdin.flush()
            rate, size = (int(word) for word in _line(process.stdout).split())
            if not 0 <= size <= LARGEST:
                raise ValueError(f"it answered with {size} bytes")
            pcm = process.stdout.read(size)
        finally:
            watchdog.cancel()
        if len(pcm) < size:
            raise EOFError("it ended in the middle")
        return Sound.of_pcm(pcm, rate) if size else None

    def _running(self) -> subprocess.Popen[bytes]:
        if self._closed:
            raise EOFError("it is closed")
        if self._process is None:
            self._process = subprocess.Popen(
                self.command,
                stdin=subprocess.PIPE,
                stdout=subprocess.PIPE,
                stderr=subprocess.DEVNULL,
                creationflags=getattr(subprocess, "CREATE_NO_WINDOW", 0),
            )
        return self._process

    def _end(self) -> None:
        if self._process is None:
            return
        process, self._process = self._process, None
        process.kill()
        for pipe in (process.stdin, process.stdout):
            with suppress(OSError):  # what was not sent yet cannot be any more
                if pipe is not None:
                    pipe.close()
        process.wait()


def _line(stream: IO[bytes]) -> bytes:
    line = stream.readline(100)
    if not line.endswith(b"\n"):
        raise EOFError("it ended")
    return line
