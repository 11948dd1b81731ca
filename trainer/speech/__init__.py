"""Saying words and sounds aloud."""

from trainer.speech.voice import Silence, Voice

__all__ = [
    "Silence",
    "Voice",
]
