"""What can be said: a lone sound by its phonemes, or words; and the name of the file of a recording."""

from __future__ import annotations

import re
from dataclasses import dataclass
from typing import Literal
from unicodedata import normalize

_OUTSIDE = re.compile(r"^\W+|\W+$")
_NOT_PLAIN = re.compile(r"[^a-z0-9]+")

_SLUG = 40
"""Characters of the words in a file's name, which are there for people; the digest after them decides."""


@dataclass(frozen=True)
class Utterance:
    """One thing to say.

    The text of a sound is the names of its phonemes with spaces between, as `K S`; where nobody has written
    them down, as for the ø of some language, it is the letter itself, which only a recording can say. The
    text of words is said as it is written. Capitals, spaces and marks around it make no other utterance.
    """

    kind: Literal["sound", "words"]
    text: str

    @property
    def phonemes(self) -> tuple[str, ...]:
        """The names in the text of a sound; empty for words."""
        return tuple(self.text.split()) if self.kind == "sound" else ()

    @property
    def key(self) -> str:
        """A name for a file: the same for the same utterance, whatever the file system makes of capitals."""
        from hashlib import sha256  # takes as long to load as all else that the window needs from here

        plain = plain_text(self.text)
        slug = _NOT_PLAIN.sub("-", plain)[:_SLUG].strip("-")
        digest = sha256(f"{self.kind}\n{plain}".encode()).hexdigest()[:12]
        return f"{self.kind}.{slug}.{digest}" if slug else f"{self.kind}.{digest}"


def plain_text(text: str) -> str:
    """A text without capitals, doubled spaces, and marks around it."""
    plain = " ".join(normalize("NFC", text).casefold().split())
    return _OUTSIDE.sub("", plain) or plain


def lone_sound(*phonemes: str) -> Utterance:
    """The utterance of a lone sound."""
    return Utterance("sound", " ".join(phonemes))


def words(text: str) -> Utterance:
    """The utterance of a text."""
    return Utterance("words", text)
