"""What can go wrong in a program that uses `strokes`. A child's ink is never an error.

StrokesError
├── InkError          ink that cannot be read at all: no points, NaN, a wrong shape
│   └── InkFileError      a file of ink that breaks a rule: where, what must be, what is
├── LetterError       a letter, formation or alphabet that contradicts itself
│   └── LetterFileError   a letter file that breaks a rule: where, what must be, what is
└── ToleranceError    a tolerance that is not a positive number
"""

from __future__ import annotations

from pathlib import Path


class StrokesError(Exception):
    """The root of the tree; catch it to catch everything this package raises on purpose."""


class InkError(StrokesError):
    """Ink that cannot be read: no points, numbers that are not finite, an array of the wrong shape."""


class InkFileError(InkError):
    """A file of ink that breaks a rule; the message reads `where: what must be, what is`."""

    def __init__(self, path: Path | str, reason: str) -> None:
        super().__init__(f"{path}: {reason}")
        self.path = Path(path)
        self.reason = reason


class LetterError(StrokesError):
    """A letter, formation or alphabet that contradicts itself, or that is not there."""


class LetterFileError(LetterError):
    """A letter file that breaks a rule; the message reads `where: what must be, what is`."""

    def __init__(self, path: Path | str, reason: str) -> None:
        super().__init__(f"{path}: {reason}")
        self.path = Path(path)
        self.reason = reason

    def at(self, path: Path | str) -> LetterFileError:
        """The same fault of the file that a reader knows, where a copy that is gone soon was looked at."""
        return LetterFileError(path, self.reason)


class ToleranceError(StrokesError):
    """A tolerance that is not a positive, finite number."""
