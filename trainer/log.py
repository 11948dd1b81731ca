"""A log in the data folder for whoever helps: bounded, and without names, letters or ink.

The sentences are the program's own. What is put into one is left out unless it is a number, and of an error
stand its kind and the places in the program, not what it says.
"""

from __future__ import annotations

import logging
import os
import traceback
from collections.abc import Iterator
from contextlib import contextmanager
from io import TextIOWrapper
from logging.handlers import RotatingFileHandler
from pathlib import Path
from time import gmtime

FOLDER = "log"
"""The folder of the logs, in the data folder."""

LARGEST, OLDER = 250_000, 2
"""Bytes of a log, after which a new one is begun, and how many older ones stay."""

_PACKAGES = ("trainer", "strokes")
_ROOT = Path(__file__).parents[1]


@contextmanager
def keeping_log(data_folder: Path, name: str) -> Iterator[None]:
    """Keep the log of that name while the block runs; one program at a time should keep it.

    What the program warns of is still said in the terminal. Nothing stops by a log that cannot be written.
    """
    logger = logging.getLogger(_PACKAGES[0])
    handler = _LogFile(data_folder / FOLDER / f"{name}.log")
    handlers = [handler, *filter(None, [logging.lastResort])]
    before = logger.level
    logger.setLevel(logging.INFO)
    for each in handlers:
        logger.addHandler(each)
    try:
        logger.info("it begins")
        yield
    except Exception:
        logger.info("it ended by an error", exc_info=True)
        raise
    finally:
        logger.info("it ends")
        for each in handlers:
            logger.removeHandler(each)
        logger.setLevel(before)
        handler.close()


def log_lines(data_folder: Path, most: int) -> list[str]:
    """The last lines of each log, oldest first."""
    lines: list[str] = []
    for file in sorted((data_folder / FOLDER).glob("*.log")):
        lines += file.read_text(encoding="utf-8", errors="replace").splitlines()[-most:]
    return lines


class _LogFile(RotatingFileHandler):
    """A log that its owner alone can read."""

    def __init__(self, file: Path) -> None:
        super().__init__(file, maxBytes=LARGEST, backupCount=OLDER, encoding="utf-8", delay=True)
        self.setFormatter(_Formatter())

    def _open(self) -> TextIOWrapper:
        folder = Path(self.baseFilename).parent
        folder.mkdir(mode=0o700, parents=True, exist_ok=True)
        handle = os.open(self.baseFilename, os.O_WRONLY | os.O_CREAT | os.O_APPEND, 0o600)
        # nothing waits to be written: on a full disk it would be tried once more, and raise, at the end
        return TextIOWrapper(os.fdopen(handle, "ab", buffering=0), encoding=self.encoding, write_through=True)

    def handleError(self, record: logging.LogRecord) -> None:  # noqa: N802  (logging's name)
        """Nothing: on a full disk practice goes on, and its terminal is not filled with complaints."""


class _Formatter(logging.Formatter):
    """One line a record: when, how grave, which module, and what of it may stand there."""

    converter = staticmethod(gmtime)
    default_msec_format = "%s.%03dZ"

    def format(self, record: logging.LogRecord) -> str:
        """The line. Of one with an error nothing else stands: Flask says which page was asked for."""
        error = record.exc_info[1] if record.exc_info else None
        said = _sentence(record) if error is None else _places(error)
        return f"{self.formatTime(record)} {record.levelname.lower()} {record.name}: {said}"


def _sentence(record: logging.LogRecord) -> str:
    values = record.args if isinstance(record.args, tuple) else ()
    shown = tuple(value if isinstance(value, int | float) else "…" for value in values)
    return str(record.msg) % shown if shown else str(record.msg)


def _places(error: BaseException) -> str:
    """The kinds of an error and of those behind it, each with the places where it came by, innermost last."""
    lines = []
    behind: BaseException | None = error
    while behind is not None:
        frames = traceback.extract_tb(behind.__traceback__)
        places = " ".join(f"{_file(frame.filename)}:{frame.lineno}" for frame in frames)
        lines.append(f"{type(behind).__name__} at {places or 'no place'}")
        behind = behind.__cause__
    return ", because of ".join(lines)


def _file(path: str) -> str:
    """A file of the program from its package on, of any other its name: a folder may be somebody's."""
    file = Path(path)
    inside = file.is_relative_to(_ROOT) and file.relative_to(_ROOT).parts[0] in _PACKAGES
    return file.relative_to(_ROOT).as_posix() if inside else file.name
