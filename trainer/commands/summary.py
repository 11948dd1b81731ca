"""`trainer summary`: how each letter was written, and whom to gather next."""

from __future__ import annotations

import click

from trainer.commands.options import FILE_OR_DASH, Location, find_pupil, pupils_of, warn, with_location
from trainer.commands.parsing import Command
from trainer.language import text


@click.command(cls=Command, help=text("cli.help.summary"))
@click.option("--pupil", "name", metavar="NAME", help=text("cli.help.summary_pupil"))
@click.option("--group", metavar="G", help=text("cli.help.summary_group"))
@click.option("--csv", metavar="FILE", type=FILE_OR_DASH, help=text("cli.help.csv"))
@with_location
def summary(location: Location, *, name: str | None, group: str | None, csv: str | None) -> int:
    """Print or write the summary of the class, of a group or of one pupil."""
    from trainer.commands import terminal
    from trainer.errors import pass_over
    from trainer.exchange import spreadsheet
    from trainer.teaching import observed, teaching_order, word_figures

    with location.open_record() as record:
        pupils_of(record, group)
        pupil = find_pupil(record, name, group) if name is not None else None
        alphabet_group = pupil.group if pupil else group
        groups = [alphabet_group] if alphabet_group is not None else record.pupils.groups()
        alphabets = location.alphabets(record)
        order = teaching_order(*alphabets.used_by(groups))
        summed = record.figures.summary(
            group, pupil=pupil.id if pupil else None, families=alphabets.families, order=order
        )
        pupils = [each.id for each in summed.pupils]
        seen = record.observations.find(pupils, on_damage=pass_over)
        words = word_figures.of_words(record.word_tries.find(pupils=pupils, ink=False, on_damage=pass_over))
        warn(alphabets, [alphabet_group] if alphabet_group is not None else [None, *groups])
    if csv is None:
        on_paper = observed(seen, order) if pupil else ()
        terminal.show(summed, pupil=pupil, group=group, on_paper=on_paper, words=words)
        return 0
    spreadsheet.write(summed, csv, seen)
    if csv != "-":
        print(text("cli.csv.written", file=csv))
    return 0
