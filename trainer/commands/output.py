"""What is printed: letters that a terminal cannot show, and an output that takes no more."""

from __future__ import annotations

import codecs
import errno
import io
import os
import sys
from collections.abc import Iterator
from contextlib import contextmanager, suppress

from trainer.language import text

HANDLER = "trainer-replace"
"""The name under which `_replaced` is known to Python's codecs."""

_REFUSED = frozenset({errno.ENOSPC, errno.EPIPE, errno.EIO, errno.EDQUOT, errno.EFBIG})
"""What the system says when an output takes no more; a file that a command writes is told by the command."""

_missing: set[str] = set()
"""The letters that could not be shown."""


class OutputError(Exception):
    """The standard output took no more; the words are the system's. Nobody is there to read on for a pipe."""


@contextmanager
def printing() -> Iterator[None]:
    """Print whatever the encoding of the terminal, and say at the end which letters it could not show.

    Raises OutputError when the output cannot be written, as on a full disk.
    """
    _missing.clear()
    codecs.register_error(HANDLER, _replaced)
    for stream in (sys.stdout, sys.stderr):
        if isinstance(stream, io.TextIOWrapper):
            stream.reconfigure(errors=HANDLER)
    try:
        try:
            yield
        finally:
            sys.stdout.flush()
    except OSError as error:
        if error.errno not in _REFUSED or error.filename is not None:
            raise
        _drop_the_rest()
        raise OutputError("" if error.errno == errno.EPIPE else os.strerror(error.errno)) from error
    if _missing:
        print(text("cli.not_shown", letters=len(_missing), encoding=sys.stdout.encoding), file=sys.stderr)


def _replaced(error: UnicodeError) -> tuple[str, int]:
    if not isinstance(error, UnicodeEncodeError):
        raise error
    unknown = error.object[error.start : error.end]
    _missing.update(unknown)
    return "?" * len(unknown), error.end


def _drop_the_rest() -> None:
    """What still waits would be tried once more, with a traceback, when Python ends."""
    with suppress(OSError, ValueError):
        nowhere = os.open(os.devnull, os.O_WRONLY)
        os.dup2(nowhere, sys.stdout.fileno())
        os.close(nowhere)
