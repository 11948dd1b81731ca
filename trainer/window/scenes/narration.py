"""The cues of a letter in step with the pen that shows it: each is said as its stroke begins."""

from __future__ import annotations

from strokes.letter import Formation
from trainer.language import spoken
from trainer.speech import Voice, words
from trainer.window.scenes.model_pen import ModelPen

LONGEST_WAIT = 4.0
"""Seconds for which the pen waits before a stroke, at most, until what was being said is said."""


class Narration:
    """One showing of a formation; `begun` is the stroke whose cue was said last, -1 before the first."""

    def __init__(self, formation: Formation, voice: Voice) -> None:
        self.formation = formation
        self.voice = voice
        self.begun = -1
        self._waited = 0.0

    def advance(self, pen: ModelPen, seconds: float) -> None:
        """Let time pass for the pen, unless it would begin a stroke while something is still being said."""
        stroke = pen.stroke_after(seconds)
        if stroke != self.begun:
            if self.voice.speaking and self._waited < LONGEST_WAIT:
                self._waited += seconds
                return
            self.begun, self._waited = stroke, 0.0
            self.voice.say(words(spoken.cue_of(self.formation, stroke)))
        pen.advance(seconds)
