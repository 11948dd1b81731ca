"""Saying words and sounds aloud; silent until there is a voice."""

from trainer.speech.voice import Silence, Voice

__all__ = [
    "Silence",
    "Voice",
]
