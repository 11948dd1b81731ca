"""The seam for a voice, as the screens know it, and the silence that stands there until one comes."""

from __future__ import annotations

from typing import Protocol

from trainer.speech.utterance import Utterance


class Voice(Protocol):
    """Says things without keeping anybody waiting: each call comes back at once, whatever becomes of it."""

    @property
    def audible(self) -> bool:
        """Whether anything may be heard: no longer so once it came out that there is no device."""

    @property
    def speaking(self) -> bool:
        """Whether something is being said, or is about to be."""

    def say(self, *utterances: Utterance) -> None:
        """Begin to say these, one after the other; whatever is being said stops."""

    def prepare(self, *utterances: Utterance) -> None:
        """These will be wanted soon: see to it, when there is time, that they can begin at once."""

    def stop(self) -> None:
        """Say nothing any more."""

    def close(self) -> None:
        """It is not needed any more."""


class Silence:
    """A voice that says nothing."""

    audible = False
    speaking = False

    def say(self, *utterances: Utterance) -> None:
        """Nothing is heard."""

    def prepare(self, *utterances: Utterance) -> None:
        """Nothing is to be done."""

    def stop(self) -> None:
        """Nothing is being said."""

    def close(self) -> None:
        """Nothing was open."""
