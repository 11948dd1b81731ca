"""`trainer demo`: an invented class with a term of attempts, for trying everything out."""

from __future__ import annotations

import tempfile
from contextlib import nullcontext
from dataclasses import replace
from pathlib import Path
from typing import Unpack

import click

from trainer import places
from trainer.commands.invented import invented
from trainer.commands.options import (
    PATH,
    Location,
    WindowOptions,
    quoted,
    warn,
    window_options,
    with_location,
)
from trainer.commands.parsing import Command
from trainer.commands.practice import open_window
from trainer.errors import UsageError
from trainer.language import text


@click.command(cls=Command, help=text("cli.help.demo"))
@click.argument("folder", type=PATH, required=False, help=text("cli.help.demo_folder"))
@click.option("--practice", is_flag=True, help=text("cli.help.demo_practice"))
@window_options
@with_location
def demo(location: Location, *, folder: Path | None, practice: bool, **window: Unpack[WindowOptions]) -> int:
    """Make the invented class, show its summary, and say what to try."""
    from trainer.commands import terminal
    from trainer.demo import WEEKS
    from trainer.teaching import teaching_order

    address = location.address()
    if address and folder:
        raise UsageError("give either a folder or --record for the invented class, not both")
    place = address or places.data_folder(
        folder or location.data or Path(tempfile.mkdtemp(prefix="trainer-demo-"))
    )
    if isinstance(place, Path):
        location = replace(location, data=place)
    with invented(place) as record:
        if practice:
            open_window(lambda: nullcontext(record), location, **window)
            return 0
        pupils = record.pupils.find()
        alphabets = location.alphabets(record)
        groups = record.pupils.groups()
        order = teaching_order(*alphabets.used_by(groups))
        summed = record.figures.summary(families=alphabets.families, order=order)
        warn(alphabets, [None, *groups])
        attempts = record.erasure.holdings([pupil.id for pupil in pupils]).attempts
    where = quoted(location.words())
    terminal.show(summed)
    print(text("cli.demo.made", pupils=len(pupils), attempts=attempts, weeks=WEEKS))
    print(f"  {record.place if address else place}\n\n{text('cli.demo.try')}")
    print("  " + text("cli.demo.practice", where=where))
    print("  " + text("cli.demo.pupil", where=where, name=pupils[0].name))
    print("  " + text("cli.demo.table", where=where))
    print("\n" + text("cli.demo.drop" if address else "cli.demo.throw_away"))
    return 0
