"""`trainer settings`: how long raw ink is kept."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta

import click

from trainer.commands.options import Location, agreed, with_location
from trainer.commands.parsing import Command
from trainer.errors import UsageError
from trainer.language import text

LONGEST = 36_500
"""Days of ink, at most; as the record says, which is not loaded to find a slip."""


@click.command(cls=Command, help=text("cli.help.settings"))
@click.option("--ink-days", metavar="N", type=int, help=text("cli.help.ink_days"))
@click.option("--yes", is_flag=True, help=text("cli.help.yes"))
@with_location
def settings(location: Location, *, ink_days: int | None, yes: bool) -> int:
    """Show how long ink is kept, or change it; what that erases is told and asked first."""
    if ink_days is not None and not 1 <= ink_days <= LONGEST:
        raise UsageError(f"--ink-days must be 1 to {LONGEST} days, not {ink_days}")
    with location.open_record() as record:
        if ink_days is None:
            print(text("cli.settings.ink", days=record.ink.keep_days))
            return 0
        now = datetime.now(UTC)
        going = record.ink.count_before(now - timedelta(days=ink_days))
        if going and not yes:
            print(text("cli.settings.erases", count=going))
            if not agreed(text("cli.settings.ask")):
                print(text("cli.pupil.kept"))
                return 1
        record.ink.keep_days = ink_days
        record.ink.forget_old(now, certain=True)
    print(text("cli.settings.ink", days=ink_days))
    return 0
