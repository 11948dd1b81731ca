"""The teacher's passphrase: kept as an argon2 hash in the record, and guesses at it slowed down."""

from __future__ import annotations

import secrets
from dataclasses import dataclass, field
from datetime import datetime, timedelta
from unicodedata import normalize

from argon2 import PasswordHasher
from argon2.exceptions import InvalidHashError, VerificationError

from trainer.desk.access.strength import weakness
from trainer.errors import UsageError
from trainer.language import text
from trainer.record import Record

SETTING = "passphrase"
SHORTEST, LONGEST = 8, 200

FREE = 3
"""Guesses without a wait: a typing error costs nothing."""

LONGEST_WAIT = timedelta(seconds=30)
"""The wait doubles from a second up to this: a guesser gets 3,000 tries a day, and nobody is shut out."""

_hasher = PasswordHasher()


@dataclass
class Passphrase:
    """Whether the passphrase is set and right; `token` lets whoever opened the desk set the first one."""

    record: Record
    token: str | None = field(default_factory=lambda: secrets.token_urlsafe(24))
    _failed: int = 0
    _wait_until: datetime | None = None

    @property
    def is_set(self) -> bool:
        """Whether there is one."""
        return bool(self.record.settings.get(SETTING))

    def set(self, words: str) -> None:
        """Keep a new one. Raises UsageError for one that is too short, too long or too easy to guess."""
        if not SHORTEST <= len(words) <= LONGEST:
            raise UsageError(
                f"a passphrase must have {SHORTEST} to {LONGEST} characters, this one has {len(words)}"
            )
        if reason := weakness(_evened(words)):
            raise UsageError(text("desk.first.weak", reason=reason))
        self.record.settings.set(SETTING, _hasher.hash(_evened(words)))
        self.token = None

    def forget(self) -> None:
        """There is none any more; whoever opened the desk chooses the next one."""
        self.record.settings.set(SETTING, "")

    def take(self, token: str) -> bool:
        """Whether this is the token of the first opening; it can be used once."""
        right = self.token is not None and secrets.compare_digest(token.encode(), self.token.encode())
        if right:
            self.token = None
        return right

    def fits(self, words: str, now: datetime) -> bool:
        """Whether `words` are the passphrase. A wrong guess makes the next ones wait; ask `wait` before."""
        if _matches(self.record.settings.get(SETTING) or "", _evened(words[: LONGEST + 1])):
            self._failed, self._wait_until = 0, None
            return True
        self._failed += 1
        if self._failed >= FREE:
            self._wait_until = now + min(LONGEST_WAIT, timedelta(seconds=2 ** min(self._failed - FREE, 10)))
        return False

    def wait(self, now: datetime) -> timedelta:
        """How long a guess has to wait."""
        # Never longer than the longest wait, even when the machine's clock was set back.
        until = self._wait_until or now
        return min(LONGEST_WAIT, max(timedelta(0), until - now))


def _evened(words: str) -> str:
    """The same words from any keyboard: one form for each accented letter."""
    return normalize("NFC", words)


def _matches(hashed: str, words: str) -> bool:
    try:
        return _hasher.verify(hashed, words)
    except (VerificationError, InvalidHashError):
        return False
