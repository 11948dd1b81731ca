"""`trainer plan`: the letters that a group practices next."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date
from typing import TYPE_CHECKING

import click

from trainer.commands.options import Location, no_group, warn, with_location
from trainer.commands.parsing import Command
from trainer.errors import PupilError, UsageError, pass_over
from trainer.language import text

if TYPE_CHECKING:
    from trainer.record import Record


@click.command(cls=Command, help=text("cli.help.plan"))
@click.argument("letters", nargs=-1, help=text("cli.help.letters"))
@click.option("--group", metavar="G", help=text("cli.help.plan_group"))
@click.option("--words", "typed_words", metavar="WORDS", help=text("cli.help.plan_words"))
@click.option("--names", is_flag=True, help=text("cli.help.plan_names"))
@click.option("--clear", is_flag=True, help=text("cli.help.plan_clear"))
@with_location
def plan(
    location: Location,
    *,
    letters: tuple[str, ...],
    group: str | None,
    typed_words: str | None,
    names: bool,
    clear: bool,
) -> int:
    """Show the plans, or put new letters or words (or none) in the place of one group's or every group's."""
    with location.open_record() as record:
        from trainer.record import DEFAULT_GROUP
        from trainer.teaching import NAME_LETTERS, typed_letters

        groups = record.pupils.groups() or (DEFAULT_GROUP,)
        if group is not None:
            if group not in groups:
                raise PupilError(no_group(record, group))
            groups = (group,)
        if clear and (letters or names or typed_words is not None):
            raise UsageError("give either letters (or --names, --words) or --clear, not both")
        alphabets = location.alphabets(record)
        if letters or names or clear:
            # read for every group before any plan is changed: each may use another alphabet
            used = [alphabets.of(each).alphabet for each in groups]
            plans = [typed_letters(letters, alphabet) if letters else [] for alphabet in used]
            for each, letter_plan in zip(groups, plans, strict=True):
                record.plans.set(each, [NAME_LETTERS, *letter_plan] if names else letter_plan)
        if typed_words is not None or clear:
            from trainer.teaching import word_offers

            chosen = word_offers.planned(typed_words or "", [alphabets.of(each).alphabet for each in groups])
            for each in groups:
                record.plans.set_words(each, chosen)
        warn(alphabets, groups)
        for each in groups:
            if planned := record.plans.get(each):
                print(text("cli.plan.line", group=each, letters=_words(planned)))
            else:
                print(text("cli.plan.none", group=each))
            if words := record.plans.named_words(each):
                print(INDENT + text("cli.plan.words", words=" ".join(words)))
            _show_lessons(record, each)
            _show_pupils(record, each)
    return 0


INDENT = "  "
"""What stands before a pupil under the group."""


def _show_lessons(record: Record, group: str) -> None:
    """The lessons that come before the plan of a group now."""
    from trainer.language import day_words
    from trainer.record import ADDED_FOR

    for lesson in record.lessons.find(group, counting=date.today(), on_damage=pass_over):
        words = {"day": day_words(lesson.day), "until": day_words(lesson.day + ADDED_FOR)}
        print(INDENT + text("cli.plan.lesson", letters=" ".join(lesson.letters), **words))


def _show_pupils(record: Record, group: str) -> None:
    """What single pupils of a group practice instead of its plan, or before it."""
    from trainer.language import day_words
    from trainer.record import ADDED_FOR

    added = record.plans.added()
    for pupil in record.pupils.find(group):
        for addition in added.get(pupil.id, ()):
            day, until = day_words(addition.day), day_words(addition.day + ADDED_FOR)
            words = {"name": pupil.name, "letter": addition.letter, "day": day, "until": until}
            print(INDENT + text("cli.plan.added", **words))
        if own := record.plans.get(group, pupil.id):
            print(INDENT + text("cli.plan.own", name=pupil.name, letters=_words(own)))


def _words(plan: Sequence[str]) -> str:
    from trainer.teaching import NAME_LETTERS

    return " ".join(text("cli.plan.names") if entry == NAME_LETTERS else entry for entry in plan)
