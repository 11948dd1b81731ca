"""`trainer pupil`: pupils are added, listed and removed, and their writing hand is settled."""

from __future__ import annotations

from typing import TYPE_CHECKING, Literal

import click

from trainer.commands.options import Location, agreed, find_pupil, pupils_of, with_location
from trainer.commands.parsing import Group
from trainer.language import text

if TYPE_CHECKING:
    from strokes.letter import Hand

UNSETTLED: Literal["none"] = "none"

NAME = click.argument("name", help=text("cli.help.name"))
GROUP_OF = click.option("--group", metavar="G", help=text("cli.help.group_of"))


@click.group(cls=Group, help=text("cli.help.pupil"))
def pupil() -> None:
    """All that is done with a pupil."""


@pupil.command("add", help=text("cli.help.add"))
@NAME
@click.option("--hand", type=click.Choice(("left", "right")), help=text("cli.help.hand"))
@click.option("--group", metavar="G", help=text("cli.help.group"))
@click.option("--card", metavar="N", type=int, help=text("cli.help.card"))
@with_location
def add(location: Location, *, name: str, hand: Hand | None, group: str | None, card: int | None) -> int:
    """Add a pupil."""
    with location.open_record() as record:
        from trainer.record import DEFAULT_GROUP

        added = record.pupils.add(name, hand=hand, group=DEFAULT_GROUP if group is None else group, card=card)
    print(text("cli.pupil.added", name=added.name, group=added.group, card=added.card))
    return 0


@pupil.command("list", help=text("cli.help.list"))
@click.option("--group", metavar="G", help=text("cli.help.summary_group"))
@with_location
def list_(location: Location, *, group: str | None) -> int:
    """List the pupils, by group and name."""
    with location.open_record() as record:
        pupils = pupils_of(record, group)
    if not pupils:
        print(text("cli.pupil.none"))
        return 0
    from trainer.commands import terminal

    terminal.show_pupils(pupils)
    return 0


@pupil.command("remove", help=text("cli.help.remove"))
@NAME
@GROUP_OF
@click.option("--yes", is_flag=True, help=text("cli.help.yes"))
@with_location
def remove(location: Location, *, name: str, group: str | None, yes: bool) -> int:
    """Erase a pupil, after telling what goes and asking."""
    with location.open_record() as record:
        leaving = find_pupil(record, name, group)
        count = record.erasure.holdings([leaving.id]).attempts
        print(text("cli.pupil.erases", name=leaving.name, group=leaving.group, attempts=count))
        if not yes and not agreed(text("cli.pupil.ask", name=leaving.name)):
            print(text("cli.pupil.kept"))
            return 1
        record.erasure.remove_pupil(leaving.id)
    print(text("cli.pupil.erased", name=leaving.name))
    return 0


@pupil.command("hand", help=text("cli.help.set_hand"))
@NAME
@click.argument(
    "hand", metavar="HAND", type=click.Choice(("left", "right", UNSETTLED)), help=text("cli.help.hand")
)
@GROUP_OF
@with_location
def set_hand(location: Location, *, name: str, hand: Hand | Literal["none"], group: str | None) -> int:
    """Settle a pupil's writing hand, or leave it open again."""
    with location.open_record() as record:
        writer = find_pupil(record, name, group)
        record.pupils.set_hand(writer.id, None if hand == UNSETTLED else hand)
    print(text(f"cli.pupil.hand.{hand}", name=writer.name))
    return 0
