"""Saying words and sounds aloud.

In come utterances, out comes sound; who asks for it never waits. The first source that has an utterance says
it: the teacher's own recordings, a neural voice that she named, espeak-ng; what none has stays a caption.

- An engine runs in a process of its own: a C library that crashes takes neither the window nor what was
  written with it. What it rendered is kept in files, so that it begins at once the next time.
- Engines, sound files and the mixer are imported when something is said for the first time, in the thread
  that says it: the window opens without them.
- A lone sound is pure: held where it can be held, and no vowel after a stop (`lone_sounds`).
"""

from trainer.speech.opening import ENDINGS, Voicing, engines, erase_rendered, open_voice, recordings_in
from trainer.speech.utterance import Utterance, lone_sound, plain_text, words
from trainer.speech.voice import Silence, Voice

__all__ = [
    "ENDINGS",
    "Silence",
    "Utterance",
    "Voice",
    "Voicing",
    "engines",
    "erase_rendered",
    "lone_sound",
    "open_voice",
    "plain_text",
    "recordings_in",
    "words",
]
