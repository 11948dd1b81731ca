"""What is kept: pupils, plans and attempts, in either of two databases."""

from trainer.record.notes import NOTE_LENGTH
from trainer.record.preferences import LONGEST_INK_DAYS
from trainer.record.record import DEFAULT_GROUP, Record
from trainer.record.verdicts import REASON_LENGTH

__all__ = [
    "DEFAULT_GROUP",
    "LONGEST_INK_DAYS",
    "NOTE_LENGTH",
    "REASON_LENGTH",
    "Record",
]
