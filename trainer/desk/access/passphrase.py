"""The teacher's passphrase: kept as an argon2 hash in the record, and guesses at it slowed down."""

from __future__ import annotations

from dataclasses import dataclass, field
from datetime import datetime, timedelta
from hashlib import sha256
from unicodedata import normalize

from argon2 import PasswordHasher
from argon2.exceptions import InvalidHashError, VerificationError
from flask import current_app

from trainer.desk.access.invitation import Invitation
from trainer.desk.access.strength import weakness
from trainer.errors import UsageError
from trainer.language import text
from trainer.record import Record

SETTING = "passphrase"
SHORTEST, LONGEST = 8, 200

FREE = 3
"""Guesses without a wait: a typing error costs nothing."""

LONGEST_WAIT = timedelta(seconds=30)
"""The wait doubles from a second up to this: a guesser gets 3,000 tries a day."""

STRANGERS = "strangers"
"""The lane of all who are not known: they wait for each other. Others have a lane of their own, or none."""

PASSPHRASE = "passphrase"
"""Where the app keeps its Passphrase."""

_hasher = PasswordHasher(time_cost=2, memory_cost=19_456, parallelism=1)
"""The least that OWASP's Password Storage Cheat Sheet advises for argon2id (from memory): some 25 ms.

A guess over the network costs as much as a right answer, and whoever has the record needs no passphrase.
"""


@dataclass
class Passphrase:
    """Whether the passphrase is set and right; who opened the desk sets the first one by the `invitation`."""

    record: Record
    invitation: Invitation
    _lanes: dict[str, tuple[int, datetime]] = field(default_factory=dict)

    @property
    def is_set(self) -> bool:
        """Whether there is one."""
        return bool(self.record.settings.get(SETTING))

    @property
    def mark(self) -> str:
        """Which passphrase it is, in a few signs that tell nothing of it: another one has another mark."""
        return sha256((self.record.settings.get(SETTING) or "").encode()).hexdigest()[:16]

    def set(self, words: str) -> None:
        """Keep a new one. Raises UsageError for one that is too short, too long or too easy to guess."""
        if not SHORTEST <= len(words) <= LONGEST:
            raise UsageError(
                f"a passphrase must have {SHORTEST} to {LONGEST} characters, this one has {len(words)}"
            )
        if reason := weakness(_evened(words)):
            raise UsageError(text("desk.first.weak", reason=reason))
        self.record.settings.set(SETTING, _hasher.hash(_evened(words)))
        self.invitation.withdraw()

    def forget(self) -> None:
        """There is none any more; whoever opened the desk chooses the next one."""
        self.record.settings.set(SETTING, "")

    def fits(self, words: str, now: datetime, lane: str | None = None) -> bool:
        """Whether `words` are the passphrase. A wrong guess makes the next ones of its lane wait; ask `wait`.

        Without a lane nothing waits.
        """
        right = _matches(self.record.settings.get(SETTING) or "", _evened(words[: LONGEST + 1]))
        if right and lane is not None:
            self._lanes.pop(lane, None)
        elif lane is not None:
            failed = self._lanes.get(lane, (0, now))[0] + 1
            wait = timedelta(seconds=2 ** min(failed - FREE, 10)) if failed >= FREE else timedelta(0)
            self._lanes[lane] = failed, now + min(LONGEST_WAIT, wait)
        return right

    def wait(self, now: datetime, lane: str | None) -> timedelta:
        """How long a guess of this lane has to wait."""
        # Never longer than the longest wait, even when the machine's clock was set back.
        _, until = self._lanes.get(lane or "", (0, now))
        return min(LONGEST_WAIT, max(timedelta(0), until - now))


def passphrase() -> Passphrase:
    """The passphrase of the desk that answers."""
    known: Passphrase = current_app.extensions[PASSPHRASE]
    return known


def _evened(words: str) -> str:
    """The same words from any keyboard: one form for each accented letter."""
    return normalize("NFC", words)


def _matches(hashed: str, words: str) -> bool:
    try:
        return _hasher.verify(hashed, words)
    except (VerificationError, InvalidHashError):
        return False
