"""Saying things aloud: the seam for a voice, and the silence that stands there until one comes."""

from __future__ import annotations

from typing import Protocol


class Voice(Protocol):
    """Says a sentence or a letter's name without keeping anybody waiting."""

    def say(self, sentence: str) -> None:
        """Begin to say `sentence`; whatever is being said stops."""


class Silence:
    """A voice that says nothing."""

    def say(self, sentence: str) -> None:
        """Nothing is heard."""
