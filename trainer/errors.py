"""What can go wrong in the trainer. Every message is one sentence for the person who can mend it.

    TrainerError
    ├── UsageError              a command that cannot be done as it was typed
    ├── PlaceError              a folder or file that cannot be made or used
    ├── ScreenError             no screen on which a window could be seen
    ├── RosterError             a class list from outside that cannot be taken
    ├── WordError               a word whose letters and sounds do not add up
    │   └── WordFileError       a file of words that breaks a rule
    ├── AudioError              a recording that cannot be taken
    └── RecordError             the record cannot do what is asked
        ├── NewerRecordError    written by a newer version of the program
        ├── MovedRecordError    it was moved elsewhere, or is being moved in and is not whole yet
        ├── BrokenRecordError   damaged, or not a record at all
        ├── ReadOnlyError       its file or folder cannot be written
        ├── DiskFullError       there is no room for more
        ├── BusyError           another window held it for too long
        ├── PupilError          a pupil who is not there, or who cannot be added as asked
        ├── RemarkError         a note or an overruling that cannot be kept as asked
        └── LessonError         a lesson that is gone, or that was changed meanwhile

A record that cannot be used is left as it is.
"""

from __future__ import annotations

from collections.abc import Callable
from typing import TypeAlias


class TrainerError(Exception):
    """The root of the tree; catch it to catch everything this package raises on purpose."""


class UsageError(TrainerError):
    """A command that cannot be done as it was typed."""


class PlaceError(TrainerError):
    """A folder or file that cannot be made or used."""


class ScreenError(TrainerError):
    """No screen on which a window could be seen."""


class RosterError(TrainerError):
    """A class list from outside that cannot be taken; `faults` are its lines that must be mended first."""

    def __init__(self, reason: str, faults: tuple[object, ...] = ()) -> None:
        super().__init__(reason)
        self.faults = tuple(map(str, faults))


class WordError(TrainerError):
    """A word whose letters and sounds do not add up, or that cannot be added or taken away."""


class WordFileError(WordError):
    """A file of words that breaks a rule; the message reads `where: what must be, what is`."""


class AudioError(TrainerError):
    """A recording that cannot be taken."""


class RecordError(TrainerError):
    """The record cannot do what is asked."""


class NewerRecordError(RecordError):
    """A record that was written by a newer version of the program."""


class MovedRecordError(RecordError):
    """A record that was moved to another place, or that is being moved in and is not whole yet."""


class BrokenRecordError(RecordError):
    """A file that is damaged, or that is not a record."""


OnDamage: TypeAlias = Callable[[BrokenRecordError], object]
"""What is told of a row that cannot be read, so that it costs only itself."""


def pass_over(damaged: BrokenRecordError) -> None:
    """For what is damaged in a record and is told of elsewhere: on the pupil's page, beside all the rest."""


class ReadOnlyError(RecordError):
    """A file or folder that cannot be written."""


class DiskFullError(RecordError):
    """A disk without room for more."""


class BusyError(RecordError):
    """A record that another window held for too long."""


class PupilError(RecordError):
    """A pupil who is not in the record, or who cannot be added as asked."""


class RemarkError(RecordError):
    """A note or an overruling that cannot be kept as asked."""


class LessonError(RecordError):
    """A lesson that is gone, or that was changed meanwhile."""
