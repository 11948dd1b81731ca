"""What a session asks of the record, so that the screens know nothing of a database."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping, Sequence
from typing import Protocol

from strokes.ink import Ink
from trainer.attempt import Attempt, InWord, Pupil, Step, WordTry
from trainer.errors import BrokenRecordError
from trainer.teaching import ReadableSettings


class Pupils(Protocol):
    """Who may sit down at the window."""

    def find(self, group: str | None = None) -> Sequence[Pupil]:
        """The pupils of a group, or all."""

    def get(self, number: int) -> Pupil | None:
        """The pupil with that number as of now; None when there is none any more."""

    def add(self, name: str) -> Pupil:
        """Add a pupil."""


class Plans(Protocol):
    """The letters that are planned."""

    def for_pupil(self, pupil: int) -> Sequence[str]:
        """What a pupil practices next, by the own plan or the group's."""

    def words(self, group: str) -> Sequence[str]:
        """The words that a teacher named for a group."""


class Words(Protocol):
    """The words of a school, and what a group was taught."""

    def own(self) -> Mapping[str, str]:
        """The school's own words with their spellings."""

    def taught(self, group: str) -> frozenset[str]:
        """The letters and spellings that were marked as taught."""


class WordTries(Protocol):
    """What was done with whole words."""

    def keep(self, tried: WordTry) -> WordTry:
        """Keep a try, committed when this returns. Raises PupilError when the pupil was erased."""

    def keep_draft(self, draft: WordTry) -> None:
        """Keep the unfinished ink of a word on one line. Raises PupilError when the pupil was erased."""

    def drop_draft(self, pupil: int) -> None:
        """Forget it."""

    def leave_draft(self, pupil: int) -> None:
        """It stays; what is written next is another one."""


class Attempts(Protocol):
    """What was written."""

    def find(
        self,
        pupil: int | None = None,
        *,
        ink: bool = True,
        on_damage: Callable[[BrokenRecordError], object] | None = None,
    ) -> Iterator[Attempt]:
        """A pupil's attempts, oldest first; a damaged one is passed over and told to `on_damage`."""

    def warm_up(self) -> None:
        """Make what the first pen-up needs; nothing is kept. Any thread may do this."""

    def keep(self, attempt: Attempt) -> Attempt:
        """Keep an attempt, committed when this returns. Raises PupilError when the pupil was erased."""

    def keep_draft(
        self, pupil: int, letter: str, step: Step, ink: Ink, in_word: InWord | None = None
    ) -> None:
        """Keep unfinished ink. Raises PupilError when the pupil was erased."""

    def drop_draft(self, pupil: int) -> None:
        """Forget unfinished ink."""

    def leave_draft(self, pupil: int) -> None:
        """Unfinished ink stays; what is written next is another attempt."""


class PracticeRecord(Protocol):
    """The parts of a Record that a session uses. All of them raise RecordError."""

    @property
    def pupils(self) -> Pupils:
        """The pupils to choose from."""

    @property
    def plans(self) -> Plans:
        """The plans of groups and pupils."""

    @property
    def attempts(self) -> Attempts:
        """Where attempts and drafts are kept."""

    @property
    def words(self) -> Words:
        """The words of the school."""

    @property
    def word_tries(self) -> WordTries:
        """Where tries at whole words are kept."""

    @property
    def settings(self) -> ReadableSettings:
        """What the teacher set."""
