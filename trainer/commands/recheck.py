"""`trainer recheck`: kept ink is judged again."""

from __future__ import annotations

import sys
from datetime import datetime

import click

from trainer.commands.options import Location, since_option, warn, with_location
from trainer.commands.parsing import Command
from trainer.language import text


@click.command(cls=Command, help=text("cli.help.recheck"))
@since_option
@with_location
def recheck(location: Location, *, since: datetime | None) -> int:
    """Judge kept ink again by the checks and the letters of today."""
    from strokes.tolerances import Tolerances
    from trainer.commands.progress import bar
    from trainer.judging.rechecking import Recheck
    from trainer.teaching import Rules

    with location.open_record() as record:
        alphabets = location.alphabets(record)
        run = Recheck(
            record, alphabets.for_judging, Tolerances.of(Rules.of(record.settings).stage), since=since
        )
        warn(alphabets, record.pupils.groups())
        if len(run):
            with bar(text("recheck.bar"), len(run)) as advance:
                run.run(progress=advance)
    done = run.outcome
    print(text("recheck.done", judged=done.judged, better=done.better, worse=done.worse))
    for letter, count in sorted(done.unknown.items()):
        print(text("recheck.unknown", letter=letter, count=count))
    for number, fault in sorted(done.damaged.items()):
        print(text("recheck.damaged", number=number, fault=fault), file=sys.stderr)
    for number, fault in sorted(done.damaged_words.items()):
        print(text("recheck.damaged_word", number=number, fault=fault), file=sys.stderr)
    return 1 if done.damaged or done.damaged_words else 0
