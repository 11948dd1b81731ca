"""Saying things aloud: the seam for a voice, and the silence that stands there until one comes."""

from __future__ import annotations

from typing import Protocol


class Voice(Protocol):
    """Says a sentence or a letter's name without keeping anybody waiting."""

    speaks: bool
    """Whether anything is heard; where nothing is, screens must do without it."""

    def say(self, sentence: str) -> None:
        """Begin to say `sentence`; whatever is being said stops."""

    def hush(self) -> None:
        """Stop."""


class Silence:
    """A voice that says nothing."""

    speaks = False

    def say(self, sentence: str) -> None:
        """Nothing is heard."""

    def hush(self) -> None:
        """There is nothing to stop."""
