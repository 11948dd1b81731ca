"""What a session asks of the record, so that the screens know nothing of a database."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import Protocol

from strokes.ink import Ink
from trainer.attempt import Attempt, Pupil, Step


class Keeper(Protocol):
    """What a session asks of the record."""

    def pupils(self, group: str | None = None) -> Sequence[Pupil]:
        """The pupils to choose from."""

    def pupil(self, number: int) -> Pupil | None:
        """The pupil with that number as of now; None when there is none any more."""

    def add_pupil(self, name: str) -> Pupil:
        """Add one."""

    def plan_for(self, pupil: int) -> Sequence[str]:
        """What a pupil practices next, by the own plan or the group's."""

    def attempts(self, pupil: int | None = None, *, ink: bool = True) -> Iterator[Attempt]:
        """A pupil's attempts, oldest first."""

    def keep(self, attempt: Attempt) -> Attempt:
        """Keep an attempt, committed when this returns. Raises PupilError when the pupil was erased."""

    def keep_draft(self, pupil: int, letter: str, step: Step, ink: Ink) -> None:
        """Keep unfinished ink. Raises PupilError when the pupil was erased."""

    def drop_draft(self, pupil: int) -> None:
        """Forget unfinished ink."""

    def leave_draft(self, pupil: int) -> None:
        """Unfinished ink stays; what is written next is another attempt."""

    def setting(self, name: str, default: str | None = None) -> str | None:
        """What the teacher set."""
