"""What a session reads from the record and writes into it; what the record cannot take waits here.

What waits is offered to the record again with the next attempt, and once more when the window closes.
"""

from __future__ import annotations

import logging
from collections.abc import Mapping
from datetime import datetime
from typing import NamedTuple

from strokes.ink import Ink
from trainer.attempt import Attempt, Pupil, Step, WordTry
from trainer.errors import PupilError, RecordError, pass_over
from trainer.language import text
from trainer.practice.record import PracticeRecord
from trainer.practice.session import Session
from trainer.teaching import Alphabets, planned_letters

_log = logging.getLogger(__name__)


class WordsKept(NamedTuple):
    """The school's own words with their spellings; what was marked as taught to a group, and its plan."""

    own: Mapping[str, str]
    marked: frozenset[str]
    planned: tuple[str, ...]


class Storage:
    """Reads and writes for one session. `alphabets` give a group its own; without them all use one.

    `waiting` are the attempts and tries at words that the record has not taken yet, oldest first.
    `pupil_erased` tells that who practices was erased meanwhile; nothing of an erased pupil waits any longer.
    """

    def __init__(self, record: PracticeRecord, session: Session, alphabets: Alphabets | None = None) -> None:
        self.record = record
        self.session = session
        self.alphabets = alphabets
        self.waiting: list[Attempt | WordTry] = []
        self.pupil_erased = False
        self._waiting_draft: Attempt | WordTry | None = None

    def all_pupils(self) -> list[Pupil]:
        """All pupils, one group after another. Raises RecordError."""
        return sorted(self.record.pupils.find(), key=lambda pupil: pupil.group)

    def admit(self, pupil: Pupil | None) -> bool:
        """The pupil practices, as the record knows them now; None is the guest, who becomes a pupil.

        False for one who was erased or archived meanwhile. Raises RecordError.
        """
        session = self.session
        if pupil is not None:
            pupil = self.record.pupils.get(pupil.id)
            if pupil is None or pupil.archived:
                return False
        session.pupil = pupil or self.record.pupils.add(text("practice.cards.guest"))
        session.history = list(self.record.attempts.find(session.pupil.id, ink=False, on_damage=pass_over))
        if self.alphabets is not None:
            session.alphabet = self.alphabets.of(session.pupil.group).alphabet
        planned = self.record.plans.for_pupil(session.pupil.id)
        session.plan = planned_letters(planned, session.pupil.name, session.alphabet)
        return True

    def words(self) -> WordsKept:
        """What the record has on words for who practices. Raises RecordError."""
        assert self.session.pupil is not None
        group, words = self.session.pupil.group, self.record.words
        return WordsKept(words.own(), words.taught(group), tuple(self.record.plans.words(group)))

    def add(self, attempt: Attempt | WordTry) -> None:
        """It is done: it waits, in place of its draft, until all that waits is stored."""
        self.waiting.append(attempt)
        self._waiting_draft = None

    def store_all(self) -> None:
        """Store all that waits, oldest first. Raises RecordError; what was not stored goes on waiting."""
        while self.waiting:
            first = self.waiting[0]
            try:
                if isinstance(first, WordTry):
                    self.record.word_tries.keep(first)
                else:
                    self.record.attempts.keep(first)
            except PupilError:
                self._forget(first.pupil)
            except RecordError:
                _log.info("letters wait, as the record did not take them", exc_info=True)
                raise
            else:
                del self.waiting[0]

    def store_draft(self, ink: Ink, began: datetime, step: Step) -> None:
        """Store what is written so far; if that fails it waits, and nobody is stopped inside a letter."""
        pupil, letter, in_word = self.session.pupil, self.session.letter_name, self.session.in_word
        assert pupil is not None
        self._waiting_draft = None
        try:
            if len(ink):
                self.record.attempts.keep_draft(pupil.id, letter, step, ink, in_word)
            else:
                self.record.attempts.drop_draft(pupil.id)
        except PupilError:
            self._forget(pupil.id)
        except RecordError:
            _log.info("a stroke waits, as the record did not take it", exc_info=True)
            if len(ink):
                self._waiting_draft = Attempt(
                    None, pupil.id, letter, step, began, ink, finished=False, in_word=in_word
                )

    def store_line(self, draft: WordTry) -> None:
        """The same for a word on one line; without ink it is forgotten."""
        self._waiting_draft = None
        try:
            if len(draft.ink):
                self.record.word_tries.keep_draft(draft)
            else:
                self.record.word_tries.drop_draft(draft.pupil)
        except PupilError:
            self._forget(draft.pupil)
        except RecordError:
            if len(draft.ink):
                self._waiting_draft = draft

    def leave_draft(self) -> bool:
        """What is in hand will not be finished; whether its draft is in the record and none waits."""
        assert self.session.pupil is not None
        if self._break_off():
            return False
        self.record.attempts.leave_draft(self.session.pupil.id)
        self.record.word_tries.leave_draft(self.session.pupil.id)
        return True

    def close(self) -> None:
        """The window is gone: offer the record once more what waits. Raises RecordError if that fails."""
        self._break_off()
        self.store_all()

    def _break_off(self) -> bool:
        """A draft that the record did not take waits with the rest; whether there was one."""
        if self._waiting_draft is None:
            return False
        self.add(self._waiting_draft)
        return True

    def _forget(self, number: int) -> None:
        """A pupil was erased: nothing of that one waits any more."""
        self.waiting = [attempt for attempt in self.waiting if attempt.pupil != number]
        pupil = self.session.pupil
        self.pupil_erased = self.pupil_erased or (pupil is not None and pupil.id == number)
