"""What the pages stand on: the record, the alphabets, and the time of day."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from datetime import UTC, datetime
from pathlib import Path

from flask import current_app

from strokes.letter import Alphabet
from trainer import alphabets
from trainer.record import Record

NAME = "desk"
"""Where the app keeps its Desk."""


def _now() -> datetime:
    return datetime.now(UTC)


@dataclass(frozen=True)
class Desk:
    """The record on the desk, with the folder of the teacher's own letters; `clock` is a seam for tests."""

    record: Record
    letters_folder: Path
    clock: Callable[[], datetime] = _now

    def now(self) -> datetime:
        """This moment, with its time zone."""
        return self.clock()

    def alphabet(self, group: str | None = None) -> Alphabet:
        """The alphabet that the group uses; without a group, or a choice, the one that practice opens.

        One that cannot be read gives way to the shipped one; the page of the alphabet tells what to mend.
        """
        kept = self.record.setting(alphabets.setting(group)) if group is not None else None
        return alphabets.alphabet_used(self.letters_folder, kept)


def desk() -> Desk:
    """The Desk of the request that is being answered."""
    found: Desk = current_app.extensions[NAME]
    return found
