"""Saying words and sounds aloud; silent until there is a voice.

In come sentences, out comes sound; who asks for it never waits.
"""

from trainer.speech.voice import Silence, Voice

__all__ = [
    "Silence",
    "Voice",
]
