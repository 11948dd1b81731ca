"""Work on a record that is killed with SIGKILL at a moment of the test's choice, time and again.

A process that has loaded everything forks one worker after another; so many real deaths do not need as many
cold starts.
"""

import subprocess
import sys
from collections.abc import Iterator
from contextlib import contextmanager

WORKERS = """
import os, signal, sys
from datetime import UTC, datetime
from itertools import count
from pathlib import Path
from sqlalchemy import Engine, event
from trainer.record import backup, moving

now = datetime(2026, 9, 7, 11, 30, tzinfo=UTC)
for line in sys.stdin:
    last, _, code = line.partition(" ")
    born = os.fork()
    if born == 0:
        steps = count(1)
        def step(*_):
            if next(steps) == int(last):
                os.kill(os.getpid(), signal.SIGKILL)
        event.listen(Engine, "before_cursor_execute", step)
        event.listen(Engine, "commit", step)
        exec(code)
        print(next(steps) - 1, flush=True)
        os._exit(0)
    if os.WIFSIGNALED(os.waitpid(born, 0)[1]):
        print("killed", flush=True)
"""


class Workers:
    """The process that forks them."""

    def __init__(self, process: "subprocess.Popen[str]") -> None:
        self._process = process

    def run(self, code: str, last: int = 0) -> str:
        """Run a line of code that is killed at its step of that number; gives back how many it had else.

        A step is a statement, a commit, or a call of `step`, which the code may hand on as its progress.
        """
        assert self._process.stdin is not None
        assert self._process.stdout is not None
        print(last, code, file=self._process.stdin, flush=True)
        return self._process.stdout.readline().strip()


@contextmanager
def workers() -> Iterator[Workers]:
    """A process for the block."""
    command = [sys.executable, "-c", WORKERS]
    with subprocess.Popen(command, stdin=subprocess.PIPE, stdout=subprocess.PIPE, text=True) as process:
        yield Workers(process)
