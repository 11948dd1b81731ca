"""`trainer practice`: the window in which children write."""

from __future__ import annotations

import gc
from collections.abc import Callable, Sequence
from contextlib import AbstractContextManager, nullcontext, suppress
from typing import TYPE_CHECKING, Unpack

import click

from trainer import places
from trainer.commands.invented import invented_for_now
from trainer.commands.options import Location, WindowOptions, window_options, with_location
from trainer.commands.parsing import Command
from trainer.language import text
from trainer.log import keeping_log

if TYPE_CHECKING:
    from trainer.practice import Door, PracticeRecord


@click.command(cls=Command, help=text("cli.help.practice"))
@click.option("--demo", is_flag=True, help=text("cli.help.practice_demo"))
@window_options
@with_location
def practice(location: Location, *, demo: bool, **window: Unpack[WindowOptions]) -> int:
    """Open the practice window, on the record or on an invented class."""
    if not demo:
        open_window(location.open_for_practice, location, **window)
        return 0
    with invented_for_now(location) as (record, own):
        open_window(lambda: nullcontext(record), own, **window)
    return 0


def open_window(
    open_record: Callable[[], AbstractContextManager[PracticeRecord]],
    location: Location,
    doors: Sequence[Door] = (),
    **window: Unpack[WindowOptions],
) -> str:
    """Run the practice window until it is left. Gives back the door that was chosen at its start, if any.

    Garbage is not collected before the cards are there (`preparation`): what is read in till then stays.
    """
    if not doors:  # a choice among doors may stand there all day
        gc.disable()
    try:
        from trainer.practice import run

        with keeping_log(places.data_folder(location.data), "practice"):
            return run(
                open_record,
                location.alphabets,
                fullscreen=window["fullscreen"],
                size=window["size"],
                screen=window["screen"],
                motion=not window["still"],
                speech=places.speech_folder(location.data),
                screens=places.screens_file(location.data),
                desk_line=location.typed("desk"),
                opened=_say_open,
                doors=doors,
            )
    finally:
        gc.enable()


def _say_open() -> None:
    """One line, which the desk waits for as well; children practice even where nobody can read it."""
    with suppress(OSError):
        print(text("cli.practice.open"), flush=True)
