"""Whether a passphrase is worth having: how many guesses it stands, and why it stands no more."""

from __future__ import annotations

from zxcvbn import zxcvbn

from trainer.language import text

ENOUGH_GUESSES = 10**6
"""The desk takes some 3,000 guesses a day, so that these last for most of a year."""

READ = 72
"""Characters that are looked at; a longer one is strong for its length, and looking at more takes long."""


def weakness(words: str) -> str:
    """The reason why it is too easy to guess, as a part of a sentence; "" for a good one."""
    tried = zxcvbn(words[:READ])
    if tried["guesses"] >= ENOUGH_GUESSES or len(set(words[READ:])) > 1:
        return ""
    longest = max(tried["sequence"], key=lambda part: len(part["token"]))
    known = ("dictionary", "repeat", "sequence", "spatial", "date")
    kind = longest["pattern"] if longest["pattern"] in known else "bruteforce"
    return text(f"desk.weak.{kind}")
