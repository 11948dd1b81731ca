"""Which letter does this ink look like: the nearest of all drawn models, nothing trained."""

from strokes.recognition.ranking import Match, identify, look, nearer

__all__ = [
    "Match",
    "identify",
    "look",
    "nearer",
]
