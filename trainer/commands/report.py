"""`trainer report`: a class on one page for a colleague, or a child on two pages for the family, as PDF."""

from __future__ import annotations

from datetime import UTC, datetime
from pathlib import Path
from typing import TYPE_CHECKING

import click

from trainer.commands.options import PATH, Location, find_pupil, pupils_of, warn, with_location
from trainer.commands.parsing import Command
from trainer.commands.pdf import paper_option, pdf_file, save, say_unprintable
from trainer.errors import PlaceError, UsageError
from trainer.language import text

if TYPE_CHECKING:
    from trainer.paper import Paper
    from trainer.record import Record


@click.command(cls=Command, help=text("cli.help.report"))
@click.option("--pupil", "name", metavar="NAME", help=text("cli.help.report_pupil"))
@click.option("--all", "every", is_flag=True, help=text("cli.help.report_all"))
@click.option("--group", metavar="G", help=text("cli.help.report_group"))
@paper_option
@click.option("--out", metavar="FILE", type=PATH, help=text("cli.help.report_out"))
@with_location
def report(
    location: Location, *, name: str | None, every: bool, group: str | None, paper: str, out: Path | None
) -> int:
    """Write the report of a pupil, of each pupil, or of the class or a group."""
    from trainer.paper import Paper, child_report, class_report

    if every and name is not None:
        raise UsageError("give either --pupil or --all, not both")
    kind, now = Paper(paper), datetime.now(UTC)
    with location.open_record() as record:
        if every:
            return _all(location, record, group, kind, out or Path("reports"))
        file = pdf_file(out, "report.pdf")
        pupils_of(record, group)
        pupil = find_pupil(record, name, group) if name is not None else None
        alphabets = location.alphabets(record)
        used = pupil.group if pupil else group
        warn(alphabets, [used])
        if pupil:
            save(child_report(record, pupil, alphabets.of(used).alphabet, kind, now=now), file)
        else:
            save(class_report(record, group, alphabets, kind, now=now), file)
    return 0


def _all(location: Location, record: Record, group: str | None, paper: Paper, folder: Path) -> int:
    """A file for each pupil in a folder for its owner alone; what was there under these names is replaced."""
    from trainer.commands.progress import bar
    from trainer.exchange import file_name
    from trainer.paper import child_report

    pupils = pupils_of(record, group)
    if not pupils:
        raise UsageError("there must be a pupil to report on; add one with trainer pupil add")
    alphabets = location.alphabets(record)
    warn(alphabets, dict.fromkeys(pupil.group for pupil in pupils))
    try:
        folder.mkdir(mode=0o700, exist_ok=True)
    except OSError as error:
        raise PlaceError(f"{folder}: the folder cannot be made: {error.strerror}") from error
    unprintable: dict[str, None] = {}
    with bar(text("cli.paper.bar"), len(pupils)) as advance:
        for pupil in pupils:
            alphabet = alphabets.of(pupil.group).alphabet
            document = child_report(record, pupil, alphabet, paper, now=datetime.now(UTC))
            document.save(folder / f"{file_name(pupil.id, pupil)}.pdf")
            unprintable |= document.unprintable
            advance(1)
    say_unprintable(unprintable)
    print(text("cli.paper.written_all", folder=folder, reports=len(pupils)))
    return 0
