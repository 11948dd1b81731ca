"""Which letter does this ink look like: the nearest of all drawn models, nothing trained.

In comes ink of any place and size; out come the letters of an alphabet with their distances, nearest
first.
"""

from strokes.recognition.ranking import Match, apart, identify, look, nearer, rank

__all__ = [
    "Match",
    "apart",
    "identify",
    "look",
    "nearer",
    "rank",
]
