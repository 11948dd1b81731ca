"""How a command ends that is told to end from outside: as by Ctrl-C, with everything closed behind it."""

from __future__ import annotations

import signal
import threading
from collections.abc import Iterator
from contextlib import contextmanager
from types import FrameType


@contextmanager
def ended_by_signals() -> Iterator[None]:
    """SIGTERM, and SIGHUP of a terminal that is closed, end the block by SystemExit.

    So what was opened is closed, and a folder that was made for now is gone. Elsewhere than in the main
    thread signals cannot be heard, and nothing is changed.
    """
    if threading.current_thread() is not threading.main_thread():
        yield
        return
    names = ("SIGTERM", "SIGHUP")
    heard = [getattr(signal, name) for name in names if hasattr(signal, name)]
    before = [signal.signal(number, _end) for number in heard]
    try:
        yield
    finally:
        for number, handler in zip(heard, before, strict=True):
            signal.signal(number, handler)


def _end(number: int, _: FrameType | None) -> None:
    raise SystemExit(128 + number)
