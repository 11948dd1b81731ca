"""The invitation of whoever opened the desk: a code that lets them choose the passphrase, once and soon.

It must not be read by others of this machine: every account sees the words of a program's command line, and
the browser keeps the addresses it went to. So the browser is shown a page of the data folder that only its
owner can read, and this page sends the code. Where a browser cannot read that folder, it can be typed.
"""

from __future__ import annotations

import os
import secrets
from dataclasses import dataclass, field
from datetime import datetime, timedelta
from pathlib import Path

from trainer.errors import PlaceError

PAGE = "open-the-desk.html"
"""The page in the data folder; it goes when it was used, and when the desk is closed."""

LASTS = timedelta(minutes=10)

_SIGNS = "abcdefghjkmnpqrstuvwxyz23456789"
"""None that is taken for another one."""

_LENGTH, _GROUP = 16, 4


def _code() -> str:
    signs = [secrets.choice(_SIGNS) for _ in range(_LENGTH)]
    return "-".join("".join(signs[at : at + _GROUP]) for at in range(0, _LENGTH, _GROUP))


@dataclass
class Invitation:
    """A code of 79 bits that is good until a moment, and for one use."""

    until: datetime
    code: str | None = field(default_factory=_code)
    _page: Path | None = None

    def write(self, folder: Path, content: str) -> Path:
        """Write the page that sends the code; nobody but its owner can read it, from its first byte on.

        Raises PlaceError where the folder cannot be written.
        """
        page = folder / PAGE
        try:
            page.unlink(missing_ok=True)  # a link that somebody put there would lead the page elsewhere
            handle = os.open(page, os.O_WRONLY | os.O_CREAT | os.O_EXCL, 0o600)
            with os.fdopen(handle, "w", encoding="utf-8") as file:
                file.write(content)
        except OSError as error:
            raise PlaceError(f"{page}: the page cannot be written: {error.strerror}") from error
        self._page = page
        return page

    def take(self, code: str, now: datetime) -> bool:
        """Whether this is the code, in time; it cannot be used again."""
        typed = code.strip().casefold().encode()
        right = self.code is not None and secrets.compare_digest(typed, self.code.encode())
        if right:
            self.withdraw()
        return right and now <= self.until

    def withdraw(self) -> None:
        """It is worthless from now on, and its page is gone."""
        self.code = None
        if self._page is not None:
            self._page.unlink(missing_ok=True)
