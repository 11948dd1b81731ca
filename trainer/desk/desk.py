"""What every page uses: the record, the alphabets, and the time of day."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from datetime import UTC, datetime
from pathlib import Path

from flask import current_app

from strokes.alphabet import Alphabet
from trainer.desk.practice_window import PracticeWindow
from trainer.places import BACKUPS, SPEECH
from trainer.record import Record
from trainer.teaching import Alphabets

NAME = "desk"
"""Where the app keeps its Desk."""


def _now() -> datetime:
    return datetime.now(UTC)


@dataclass(frozen=True)
class Desk:
    """The record on the desk, with the folder of the teacher's own letters; `clock` is a seam for tests.

    A folder that was `named` when the desk was opened is for every group. `practice` opens the practice
    window on the record and `wall` the lesson for the class; without them the desk opens none.
    """

    record: Record
    letters_folder: Path
    clock: Callable[[], datetime] = _now
    named: bool = False
    speech_folder: Path | None = None
    practice: PracticeWindow | None = None
    wall: PracticeWindow | None = None

    @property
    def speech(self) -> Path:
        """The folder of the teacher's recordings; without another it lies beside that of her letters."""
        return self.speech_folder or self.letters_folder.parent / SPEECH

    @property
    def backups(self) -> Path:
        """The folder of the backups that the desk makes; it need not be there."""
        return self.letters_folder.parent / BACKUPS

    def now(self) -> datetime:
        """This moment, with its time zone."""
        return self.clock()

    def alphabet(self, group: str | None = None) -> Alphabet:
        """The alphabet that the group uses; without a group, what one uses that has no choice."""
        return self.alphabets.of(group).alphabet

    @property
    def alphabets(self) -> Alphabets:
        """The alphabets, and which group uses which."""
        return Alphabets(self.letters_folder, self.record.settings.get, named=self.named)


def desk() -> Desk:
    """The Desk of the request that is being answered."""
    current: Desk = current_app.extensions[NAME]
    return current
