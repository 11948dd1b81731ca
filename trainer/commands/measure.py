"""`trainer measure`: how large a millimeter is on a screen, with a bank card."""

from __future__ import annotations

import click

from trainer import places
from trainer.commands.options import Location, screen_option, with_location
from trainer.commands.parsing import Command
from trainer.language import text
from trainer.log import keeping_log


@click.command(cls=Command, help=text("cli.help.measure"))
@screen_option
@with_location
def measure(location: Location, *, screen: int) -> int:
    """Fill the screen with a card to be made as large as a real one, and say what came of it."""
    from trainer.window.trials import measure_screen

    data = places.data_folder(location.data)
    with keeping_log(data, "measure"):
        scale = measure_screen(places.screens_file(location.data), screen=screen)
    if scale.px_per_mm is None:
        print(text("cli.measure.guess"))
    else:
        print(text(f"cli.measure.{scale.source}", px=f"{scale.px_per_mm:.2f}"))
    return 0
