"""The commands for what is set: a pupil's hand, and how long ink is kept."""

from __future__ import annotations

from argparse import Namespace
from datetime import UTC, datetime, timedelta
from typing import TYPE_CHECKING

from trainer.commands import options
from trainer.errors import UsageError
from trainer.language import text

if TYPE_CHECKING:
    from strokes.letter import Hand

UNSETTLED = "none"
LONGEST = 36_500
"""Days of ink, at most; as the record says, which is not loaded to find a slip."""


def set_hand(chosen: Namespace) -> int:
    """Settle a pupil's writing hand, or leave it open again."""
    hand: Hand | None = None if chosen.hand == UNSETTLED else chosen.hand
    with options.record(chosen) as record:
        pupil = options.pupil(record, chosen.name, chosen.group)
        record.pupils.set_hand(pupil.id, hand)
    print(text(f"cli.pupil.hand.{chosen.hand}", name=pupil.name))
    return 0


def settings(chosen: Namespace) -> int:
    """Show how long ink is kept, or change it; what that erases is told and asked first."""
    if chosen.ink_days is not None and not 1 <= chosen.ink_days <= LONGEST:
        raise UsageError(f"--ink-days must be 1 to {LONGEST} days, not {chosen.ink_days}")
    with options.record(chosen) as record:
        if chosen.ink_days is None:
            print(text("cli.settings.ink", days=record.ink.keep_days))
            return 0
        now = datetime.now(UTC)
        going = record.ink.count_before(now - timedelta(days=chosen.ink_days))
        if going and not chosen.yes:
            print(text("cli.settings.erases", count=going))
            if not options.agreed(text("cli.settings.ask")):
                print(text("cli.pupil.kept"))
                return 1
        record.ink.keep_days = chosen.ink_days
        record.ink.forget_old(now)
    print(text("cli.settings.ink", days=chosen.ink_days))
    return 0
