"""Words as children spell them by ear: their sounds and the letters for each; no record, voice or text."""

from trainer.wordbank.phonemes import PHONEMES, Manner, Phoneme

__all__ = [
    "PHONEMES",
    "Manner",
    "Phoneme",
]
