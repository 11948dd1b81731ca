"""A file that takes its new content at once or not at all, whatever happens meanwhile."""

from __future__ import annotations

import os
import shutil
import tempfile
from collections.abc import Callable
from pathlib import Path

from trainer.errors import PlaceError


def replace_file(
    file: Path, content: bytes, *, what: str, check: Callable[[Path], object] | None = None
) -> None:
    """Write `content` beside `file`, let `check` read it there, and only then put it in the file's place.

    The folder is made where it is not there; who may read the file stays as it was. What `check` raises
    goes through. Raises PlaceError, which names `what` was to be written, when that cannot be done.
    """
    try:
        file.parent.mkdir(parents=True, exist_ok=True)
        with tempfile.TemporaryDirectory(prefix=".new-", dir=file.parent) as folder:
            new = Path(folder) / file.name
            with new.open("wb") as writing:
                writing.write(content)
                writing.flush()
                os.fsync(writing.fileno())
            if check is not None:
                check(new)
            if file.exists():
                shutil.copymode(file, new)
            new.replace(file)
    except OSError as error:
        raise PlaceError(f"{file}: {what} cannot be written: {error.strerror}") from error
