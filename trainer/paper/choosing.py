"""Which sheets a pupil gets: letters that practice would offer and planned words, or what is named."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date

from strokes.alphabet import Alphabet
from trainer.attempt import Pupil
from trainer.errors import pass_over
from trainer.paper.sheets import Sheet
from trainer.record import Record
from trainer.teaching import letter_offers, name_letters, planned_letters, taught_to_all, teaching_order

WORDS = 3
"""Planned words that a pupil gets on sheets: ten minutes are enough for three or four."""


def sheets_of(
    record: Record, pupil: Pupil, alphabet: Alphabet, written: Sequence[str] = (), *, today: date
) -> list[Sheet]:
    """A sheet with the pupil's name for all that is `written`; by default for what comes next.

    That is each letter that practice would offer, then the first words that are planned for the group.
    """
    chosen = written or (
        *next_letters(record, pupil, alphabet, today=today),
        *next_words(record, pupil, alphabet),
    )
    return [Sheet(each, alphabet, pupil.hand, pupil.name) for each in chosen]


def next_words(record: Record, pupil: Pupil, alphabet: Alphabet) -> tuple[str, ...]:
    """The first planned words that the alphabet can write; none where none are planned."""
    words = [word for word in record.plans.words(pupil.group) if set(word) <= set(alphabet)]
    return tuple(words[:WORDS])


def next_letters(record: Record, pupil: Pupil, alphabet: Alphabet, *, today: date) -> tuple[str, ...]:
    """The letters that are planned for a pupil, else those that practice would offer: there is always one."""
    if planned := planned_letters(record.plans.for_pupil(pupil.id, today=today), pupil.name, alphabet):
        return planned
    offers = letter_offers.offers(
        record.attempts.find(pupil.id, ink=False, on_damage=pass_over),
        plan=(),
        order=teaching_order(alphabet),
        new=taught_to_all(alphabet),
        own_name=name_letters(pupil.name, alphabet),
        today=today,
    )
    return tuple(offer.letter for offer in offers)
