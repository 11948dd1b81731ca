"""`trainer show`: letters and words on the big screen, for the class to write along."""

from __future__ import annotations

import sys
from collections.abc import Sequence
from contextlib import AbstractContextManager, nullcontext
from typing import TYPE_CHECKING, Unpack

import click

from strokes.letter import Hand
from trainer import places
from trainer.commands.invented import invented_for_now
from trainer.commands.options import Location, WindowOptions, no_group, warn, window_options, with_location
from trainer.commands.parsing import Command
from trainer.errors import PupilError
from trainer.language import text
from trainer.log import keeping_log

if TYPE_CHECKING:
    from trainer.record import Record
    from trainer.teaching import Rules
    from trainer.wall import Item


@click.command(cls=Command, help=text("cli.help.show"))
@click.argument("typed", nargs=-1, metavar="[WORD]...", help=text("cli.help.show_typed"))
@click.option("--group", metavar="G", help=text("cli.help.show_group"))
@click.option("--hand", type=click.Choice(["left", "right"]), help=text("cli.help.show_hand"))
@click.option("--dark", is_flag=True, help=text("cli.help.show_dark"))
@click.option("--demo", is_flag=True, help=text("cli.help.show_demo"))
@window_options
@with_location
def show(
    location: Location,
    *,
    typed: tuple[str, ...],
    group: str | None,
    hand: Hand | None,
    dark: bool,
    demo: bool,
    **window: Unpack[WindowOptions],
) -> int:
    """Show what was named, or what is planned. The record is closed before the window opens."""
    if demo:
        with invented_for_now(location) as (record, own):
            items, rules = to_show(nullcontext(record), own, typed, group)
    else:
        items, rules = to_show(location.open_record(), location, typed, group)
    on_the_wall(items, rules, location, hand=hand, dark=dark, **window)
    return 0


def on_the_wall(
    items: Sequence[Item],
    rules: Rules,
    location: Location,
    *,
    hand: Hand | None,
    dark: bool,
    **window: Unpack[WindowOptions],
) -> tuple[Item, ...]:
    """Run the wall until it is left. Gives back the items that were begun."""
    from trainer import wall

    with keeping_log(places.data_folder(location.data), "wall"):
        return wall.show(
            items,
            voicing=rules.voicing(places.speech_folder(location.data)),
            motion=rules.motion and not window["still"],
            hand=hand,
            dark=dark,
            fullscreen=window["fullscreen"],
            size=window["size"],
            screen=window["screen"],
        )


def to_show(
    opened: AbstractContextManager[Record], location: Location, typed: Sequence[str], group: str | None
) -> tuple[tuple[Item, ...], Rules]:
    """What is shown, and the teacher's rules.

    Of the record it reads the plans and alphabets of groups, words and settings: nothing of any child. Where
    nothing is named and several groups have a plan, each item of these is shown once.
    """
    from trainer.teaching import Rules
    from trainer.wall import planned_items, typed_items

    with opened as record:
        groups = record.pupils.groups(archived=False)
        if group is not None and group not in groups:
            raise PupilError(no_group(record, group))
        alphabets = location.alphabets(record)
        rules, own = Rules.of(record.settings), record.words.own()
        if typed:
            warn(alphabets, [group])
            return typed_items(typed, alphabets.of(group).alphabet, own), rules
        shown = [group] if group is not None else [*groups]
        warn(alphabets, shown)
        plans = record.plans
        planned = [
            planned_items(plans.for_group(each), plans.words(each), alphabets.of(each).alphabet, own)
            for each in shown
        ]
    left_out = dict.fromkeys(word for plan in planned for word in plan.left_out)
    if left_out:
        print(text("cli.show.left_out", words=", ".join(left_out)), file=sys.stderr)
    items: list[Item] = []
    for item in sorted((item for plan in planned for item in plan.items), key=_is_word):
        if item not in items:
            items.append(item)
    if not items:
        print(text("cli.show.nothing"), file=sys.stderr)
    return tuple(items), rules


def _is_word(item: Item) -> bool:
    from trainer.wall import WallWord

    return isinstance(item, WallWord)
