"""What a practice window writes into its outbox: attempts and tries at words, and the drafts of them."""

from __future__ import annotations

import uuid
from collections import defaultdict
from collections.abc import Iterator, Mapping, Sequence
from contextlib import suppress
from dataclasses import dataclass, replace
from datetime import UTC, datetime
from typing import Any

from strokes.ink import Ink
from trainer.attempt import Attempt, InWord, Step, WordPart, WordTry
from trainer.errors import OnDamage, PupilError, RecordError
from trainer.record import mappers
from trainer.record.deliveries import Item
from trainer.record.outbox.answers import Answers
from trainer.record.outbox.file import Outbox
from trainer.record.outbox.sender import Sender


@dataclass(frozen=True)
class _Draft:
    """What is being written: its id, what it is, and the moment and day of its first stroke."""

    number: str
    what: object
    began: dict[str, str]


class Written:
    """What a window writes of one kind, and its drafts: one a pupil."""

    def __init__(self, kind: str, outbox: Outbox, sender: Sender) -> None:
        self._kind = kind
        self._outbox = outbox
        self._sender = sender
        self._drafts: dict[int, _Draft] = {}

    def keep(self, what: object, row: Mapping[str, Any], findings: Sequence[Mapping[str, Any]] = ()) -> None:
        """Keep what is finished, in the place of its draft; a draft of something else is broken off."""
        pupil = self._known(row)
        draft = self._drafts.get(pupil)
        number = draft.number if draft and draft.what == what else _new_number()
        self._outbox.keep(Item(number, self._kind, pupil, row, findings))
        if draft and draft.number != number:
            self._break_off(draft)
        self._drafts.pop(pupil, None)
        self._sender.wake()

    def keep_beside(self, row: Mapping[str, Any]) -> None:
        """Keep what never is a draft."""
        self._outbox.keep(Item(_new_number(), self._kind, self._known(row), row))
        self._sender.wake()

    def keep_draft(self, what: object, row: Mapping[str, Any]) -> None:
        """Keep what is written so far; it keeps the time of its first stroke."""
        pupil = self._known(row)
        draft = before = self._drafts.get(pupil)
        if draft is None or draft.what != what:
            draft = _Draft(_new_number(), what, {"at": row["at"], "day": row["day"]})
        self._outbox.keep(Item(draft.number, self._kind, pupil, {**row, **draft.began}), draft=True)
        self._drafts[pupil] = draft
        if before is not None and before.number != draft.number:
            self._break_off(before)

    def leave_draft(self, pupil: int) -> None:
        """It stays, as one that was broken off."""
        if draft := self._drafts.pop(pupil, None):
            self._break_off(draft)

    def drop_draft(self, pupil: int) -> None:
        """Forget it."""
        if draft := self._drafts.get(pupil):
            self._outbox.drop(draft.number)
            del self._drafts[pupil]

    def _break_off(self, draft: _Draft) -> None:
        """A draft goes on its way as it is."""
        with suppress(RecordError):  # on a full disk it goes when the window is closed, or opened next
            self._outbox.leave(draft.number)
        self._sender.wake()

    def _known(self, row: Mapping[str, Any]) -> int:
        """The pupil of a row. Raises PupilError for one of whom the server said that they are erased."""
        pupil: int = row["pupil"]
        if pupil in self._sender.erased:
            self._drafts.pop(pupil, None)
            raise PupilError(f"the record has no pupil with the number {pupil}")
        return pupil


class Attempts:
    """A window's attempts at letters."""

    def __init__(self, answers: Answers, written: Written) -> None:
        self._answers = answers
        self._written = written
        self._on_their_way: dict[int, list[Attempt]] = defaultdict(list)

    def find(
        self, pupil: int | None = None, *, ink: bool = False, on_damage: OnDamage | None = None
    ) -> Iterator[Attempt]:
        """A pupil's attempts without ink, oldest first: those in the record, and those on their way there."""
        assert pupil is not None
        assert not ink
        known, fresh = self._answers.attempts(pupil, on_damage)
        in_record = {(attempt.letter, attempt.at) for attempt in known}
        others = [
            attempt for attempt in self._on_their_way[pupil] if (attempt.letter, attempt.at) not in in_record
        ]
        if fresh:
            self._on_their_way[pupil] = others
        yield from (*known, *others)

    def keep(self, attempt: Attempt) -> Attempt:
        """Keep an attempt; it is on this machine's disk when this returns. It has no number yet.

        Raises PupilError for a pupil of whom the server said that they are erased.
        """
        findings = mappers.finding_rows(0, attempt.verdict) if attempt.verdict else []
        for finding in findings:
            del finding["attempt"]
        self._written.keep((attempt.letter, attempt.in_word), mappers.attempt_row(attempt), findings)
        self._on_their_way[attempt.pupil].append(replace(attempt, ink=Ink()))
        return attempt

    def keep_draft(
        self, pupil: int, letter: str, step: Step, ink: Ink, in_word: InWord | None = None
    ) -> None:
        """Keep what is written so far, as `trainer.record.attempts` does. Raises as `keep`."""
        now = datetime.now(UTC)
        draft = Attempt(None, pupil, letter, step, now, ink, finished=False, in_word=in_word)
        self._written.keep_draft((letter, in_word), mappers.attempt_row(draft))

    def warm_up(self) -> None:
        """An outbox has nothing to make before a pen-up."""

    def leave_draft(self, pupil: int) -> None:
        """It stays, as an attempt that was broken off."""
        self._written.leave_draft(pupil)

    def drop_draft(self, pupil: int) -> None:
        """Forget it."""
        self._written.drop_draft(pupil)


class WordTries:
    """A window's tries at words."""

    def __init__(self, written: Written) -> None:
        self._written = written

    def keep(self, tried: WordTry) -> WordTry:
        """Keep a try, as `Attempts.keep` does."""
        if tried.part is WordPart.LINE:
            self._written.keep(tried.word, mappers.word_try_row(tried))
        else:
            self._written.keep_beside(mappers.word_try_row(tried))
        return tried

    def keep_draft(self, draft: WordTry) -> None:
        """Keep the ink of a word on one line so far."""
        self._written.keep_draft(draft.word, mappers.word_try_row(draft))

    def leave_draft(self, pupil: int) -> None:
        """It stays, as one that was broken off."""
        self._written.leave_draft(pupil)

    def drop_draft(self, pupil: int) -> None:
        """Forget it."""
        self._written.drop_draft(pupil)


def _new_number() -> str:
    return uuid.uuid4().hex
