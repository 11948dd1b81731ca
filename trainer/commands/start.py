"""`trainer` alone: the start screen, which leads to what is used each day."""

from __future__ import annotations

import click

from trainer.commands.desk import desk
from trainer.commands.options import Location, with_location
from trainer.commands.practice import open_window
from trainer.commands.show import show


@click.command()
@with_location
@click.pass_context
def start(context: click.Context, location: Location) -> int:
    """Show the doors. The children's is in the same window; behind another one is the command of its name."""
    from trainer.practice import PRACTICE, Door

    commands = {Door("show", "wall"): show, Door("desk", "desk"): desk}
    doors = (Door(PRACTICE, "practice"), *commands)
    chosen = open_window(
        location.open_for_practice, location, doors, fullscreen=False, size=None, screen=1, still=False
    )
    behind = next((command for door, command in commands.items() if door.name == chosen), None)
    return int(context.invoke(behind)) if behind else 0
