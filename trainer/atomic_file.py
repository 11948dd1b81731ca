"""A file that takes its new content at once or not at all, whatever happens meanwhile."""

from __future__ import annotations

import os
import shutil
import tempfile
from collections.abc import Callable, Iterator
from contextlib import contextmanager, suppress
from pathlib import Path
from time import time
from typing import IO

from trainer.errors import PlaceError

NEW = ".trainer-new-"
"""Begins the names of what is being written, beside the file that it becomes."""

DEAD_AFTER = 24 * 3600.0
"""Seconds after which nobody writes into such a thing any more: no write takes minutes, on no machine."""

_PRIVATE, _OPEN = 0o600, 0o666


def remove_dead(folder: Path) -> None:
    """Remove what writes that were killed have left in a folder, a day ago or longer."""
    for left in folder.glob(f"{NEW}*"):
        with suppress(OSError):  # another program removed it, or it is somebody else's
            if time() - left.stat().st_mtime > DEAD_AFTER:
                shutil.rmtree(left) if left.is_dir() else left.unlink()


@contextmanager
def replacing(
    file: Path, *, what: str, private: bool = False, check: Callable[[Path], object] | None = None
) -> Iterator[IO[bytes]]:
    """Something to write into, which lies beside `file` and takes its place when the block has ended well.

    Who may read a file that is there stays as it was; a new one that is `private` is for its owner alone. A
    device or a pipe takes what comes as it comes, and a link goes on leading where it led. `check` may read
    the new file first, and what it raises goes through. Raises PlaceError, which names `what` was written.
    """
    try:
        target = file.resolve()
        if target.exists() and not target.is_file():
            with target.open("wb") as writing:
                yield writing
            return
        remove_dead(target.parent)
        with tempfile.TemporaryDirectory(prefix=NEW, dir=target.parent) as folder:
            new = Path(folder) / target.name
            handle = os.open(new, os.O_WRONLY | os.O_CREAT | os.O_EXCL, _PRIVATE if private else _OPEN)
            with os.fdopen(handle, "wb") as writing:
                yield writing
                writing.flush()
                os.fsync(writing.fileno())
            if check is not None:
                check(new)
            if target.exists():
                shutil.copymode(target, new)
            new.replace(target)
    except OSError as error:
        raise PlaceError(f"{file}: {what} cannot be written: {error.strerror}") from error


def replace_file(
    file: Path, content: bytes, *, what: str, check: Callable[[Path], object] | None = None
) -> None:
    """Put `content` in the place of `file`, as `replacing` does; the folder is made where it is not there."""
    try:
        file.parent.mkdir(parents=True, exist_ok=True)
    except OSError as error:
        raise PlaceError(f"{file}: {what} cannot be written: {error.strerror}") from error
    with replacing(file, what=what, check=check) as writing:
        writing.write(content)
