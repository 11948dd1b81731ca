"""The record as a practice window has it whose record is on a server: it writes into its outbox alone.

What it reads it asks the server, and waits a moment for the answer at most. While the server is away it goes
by the last answers, which are in memory alone: names and plans are put on no screen's disk.
"""

from __future__ import annotations

from contextlib import closing
from pathlib import Path
from types import TracebackType
from typing import Self

from trainer.errors import RecordError
from trainer.places import without_secrets
from trainer.record.outbox.answers import Answers, Plans, Pupils, Settings, Words
from trainer.record.outbox.file import PLACE, Slot, waiting
from trainer.record.outbox.sender import LONGEST_PAUSE, Sender
from trainer.record.outbox.writing import Attempts, WordTries, Written
from trainer.record.record import Record


class ScreenRecord:
    """What a practice window uses of a record on a server. One thread uses it."""

    def __init__(self, record: Record, data_folder: Path, *, longest_pause: float = LONGEST_PAUSE) -> None:
        """Write into an outbox in the data folder; the record is the sender's from now on, who closes it."""
        self._slot = Slot(data_folder, record.deliveries.identity())
        self._outbox = self._slot.outbox
        self._outbox.note(PLACE, record.place)
        self._take_over()
        self._sender = Sender(record, self._slot, data_folder, longest_pause=longest_pause)
        answers = Answers(self._sender)
        self.pupils = Pupils(answers)
        self.plans = Plans(answers)
        self.words = Words(answers)
        self.settings = Settings(answers)
        self.attempts = Attempts(answers, Written("attempt", self._outbox, self._sender))
        self.word_tries = WordTries(Written("word_try", self._outbox, self._sender))

    @classmethod
    def open(cls, address: str, data_folder: Path, *, longest_pause: float = LONGEST_PAUSE) -> Self:
        """Open the record at a `postgresql://` address. Raises RecordError, which says what waits here."""
        try:
            record = Record.open(address)
        except RecordError as error:
            place = without_secrets(address)
            left = sum(outbox.items for outbox in waiting(data_folder) if outbox.place == place)
            if not left:
                raise
            raise type(error)(
                f"{error}; letters and words that wait on this machine until the server is back: {left}"
            ) from error
        try:
            return cls(record, data_folder, longest_pause=longest_pause)
        except BaseException:
            record.close()
            raise

    def close(self) -> None:
        """Send what can be sent in a moment; what is left waits for the next window."""
        with closing(self._slot), closing(self._sender):
            self._outbox.break_off()

    def __enter__(self) -> Self:
        return self

    def __exit__(
        self, kind: type[BaseException] | None, error: BaseException | None, at: TracebackType | None
    ) -> None:
        self.close()

    def _take_over(self) -> None:
        """What a dead window left goes on its way, here and from other outboxes; drafts are broken off."""
        self._outbox.break_off()
        for left in self._slot.left():
            self._outbox.take_over(left)
