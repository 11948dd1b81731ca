"""What the record knows of a group for its next lesson. Not imported with the room: it needs the words."""

from __future__ import annotations

from datetime import date

from trainer.record.record import Record
from trainer.teaching import Alphabets, teaching_order
from trainer.teaching.lesson_planning import GroupState


def group_state(record: Record, alphabets: Alphabets, group: str, today: date) -> GroupState:
    """How the letters of a group stand, its alphabet, and what it was taught of words."""
    alphabet = alphabets.of(group).alphabet
    summary = record.figures.summary(
        group, families=alphabets.families, order=teaching_order(alphabet), findings=False, other=False
    )
    own, marked = record.words.own(), record.words.taught(group)
    return GroupState.of(group, summary, alphabet, own=own, marked=marked, today=today)
