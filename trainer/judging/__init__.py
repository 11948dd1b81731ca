"""The verdict of an attempt: an alphabet, a hand and tolerances judge ink, while it is written and after."""

from trainer.judging.following import Hint
from trainer.judging.judge import Judge, Judged, There

__all__ = [
    "Hint",
    "Judge",
    "Judged",
    "There",
]
