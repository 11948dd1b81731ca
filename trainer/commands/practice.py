"""`trainer practice`: the window in which children write."""

from __future__ import annotations

from collections.abc import Callable
from contextlib import AbstractContextManager, nullcontext
from typing import TYPE_CHECKING, Unpack

import click

from trainer import places
from trainer.commands.invented import invented_for_now
from trainer.commands.options import Location, WindowOptions, window_options, with_location
from trainer.commands.parsing import Command
from trainer.language import text
from trainer.log import keeping_log

if TYPE_CHECKING:
    from trainer.record import Record


@click.command(cls=Command, help=text("cli.help.practice"))
@click.option("--demo", is_flag=True, help=text("cli.help.practice_demo"))
@window_options
@with_location
def practice(location: Location, *, demo: bool, **window: Unpack[WindowOptions]) -> int:
    """Open the practice window, on the record or on an invented class."""
    if not demo:
        return open_window(location.open_record, location, **window)
    with invented_for_now(location) as (record, own):
        return open_window(lambda: nullcontext(record), own, **window)


def open_window(
    open_record: Callable[[], AbstractContextManager[Record]],
    location: Location,
    **window: Unpack[WindowOptions],
) -> int:
    """Run the practice window until it is left. Gives back the exit code."""
    from trainer.practice import run

    with keeping_log(places.data_folder(location.data), "practice"):
        run(
            open_record,
            lambda: location.alphabets().of().alphabet,
            alphabet_of=lambda record, group: location.alphabets(record).of(group).alphabet,
            to_mend=lambda record, groups: location.alphabets(record).to_mend(groups),
            fullscreen=window["fullscreen"],
            size=window["size"],
            motion=not window["still"],
            speech=places.speech_folder(location.data),
        )
    return 0
