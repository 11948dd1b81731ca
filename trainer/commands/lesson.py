"""`trainer lesson`: ten minutes for a group, proposed, changed, kept and printed."""

from __future__ import annotations

import sys
from collections.abc import Iterator, Sequence
from contextlib import suppress
from dataclasses import replace
from datetime import UTC, date, datetime
from pathlib import Path
from typing import TYPE_CHECKING, Unpack

import click

from trainer.commands.options import (
    PATH,
    Location,
    WindowOptions,
    no_group,
    warn,
    window_options,
    with_location,
)
from trainer.commands.parsing import Command
from trainer.commands.pdf import paper_option, pdf_file, save
from trainer.commands.show import on_the_wall
from trainer.errors import PupilError, UsageError, pass_over
from trainer.language import day_words, listed, text

if TYPE_CHECKING:
    from trainer.attempt import Pupil
    from trainer.record import Record
    from trainer.teaching import Alphabets, Rules
    from trainer.teaching.group_lesson import Lesson
    from trainer.teaching.lesson_planning import GroupState
    from trainer.wall import Item

INDENT = "  "


@click.command(cls=Command, help=text("cli.help.lesson"))
@click.argument("group", required=False, help=text("cli.help.lesson_group"))
@click.option("--day", "typed_day", metavar="DATE", help=text("cli.help.lesson_day"))
@click.option("--letters", "typed_letters", metavar="LETTERS", help=text("cli.help.lesson_letters"))
@click.option("--words", "typed_words", metavar="WORDS", help=text("cli.help.lesson_words"))
@click.option("--rhyme", metavar="WORD", help=text("cli.help.lesson_rhyme"))
@click.option("--keep", is_flag=True, help=text("cli.help.lesson_keep"))
@click.option("--remove", is_flag=True, help=text("cli.help.lesson_remove"))
@click.option("--number", metavar="N", type=int, help=text("cli.help.lesson_number"))
@click.option("--show", "on_wall", is_flag=True, help=text("cli.help.lesson_show"))
@click.option("--pdf", metavar="FILE", type=PATH, help=text("cli.help.lesson_pdf"))
@paper_option
@window_options
@with_location
def lesson(
    location: Location,
    *,
    group: str | None,
    typed_day: str | None,
    typed_letters: str | None,
    typed_words: str | None,
    rhyme: str | None,
    keep: bool,
    remove: bool,
    number: int | None,
    on_wall: bool,
    pdf: Path | None,
    paper: str,
    **window: Unpack[WindowOptions],
) -> int:
    """Print the lesson that is kept for a group and a day, or propose one; keep, change or remove it."""
    from trainer.record.group_state import group_state
    from trainer.teaching import lesson_planning

    changes = any(typed is not None for typed in (typed_letters, typed_words, rhyme))
    if remove and (keep or changes or pdf):
        raise UsageError("--remove must stand without --keep, --letters, --words, --rhyme and --pdf")
    file = pdf_file(pdf, "page.pdf", option="--pdf") if pdf else None
    now = datetime.now(UTC)
    today = now.astimezone().date()
    day = _day(typed_day) if typed_day else lesson_planning.next_day(today)
    with location.open_record() as record:
        alphabets = location.alphabets(record)
        if number is None:
            group = _group(record, group)
            warn(alphabets, [group])
            there = record.lessons.find(group, day=day, on_damage=pass_over)
            if remove:
                return _remove(record, group, day, there)
            if changes or not there:
                state = group_state(record, alphabets, group, today)
                made = _made(state, day, typed_letters, typed_words, rhyme)
                there = (_kept(record, made, there, now) if keep else made,)
        else:
            there = (_numbered(record, number),)
        if file:
            _print(there[0], record, alphabets, file, paper)
        if number is None and not on_wall:
            print("\n\n".join("\n".join(_said(each, record.pupils.find(group))) for each in there))
            return 0
        items, rules = _items(record, alphabets, there[0])
    # nothing else is printed: the class may see the terminal
    with suppress(OSError):
        print(text("cli.lesson.on_the_wall", day=day_words(there[0].day)), flush=True)
    on_the_wall(items, rules, location, hand=None, dark=False, **window)
    return 0


def _numbered(record: Record, number: int) -> Lesson:
    lesson = record.lessons.get(number)
    if lesson is None:
        raise UsageError(f"--number must be that of a lesson that is kept, and {number} is none")
    return lesson


def _items(record: Record, alphabets: Alphabets, shown: Lesson) -> tuple[list[Item], Rules]:
    """What the class sees of a lesson, nothing of any child, in the order of its parts; and the rules."""
    from trainer.teaching import Rules, lesson_planning
    from trainer.teaching.group_lesson import Part
    from trainer.wall import WallRhymes, planned_items
    from trainer.wordbank import school_words

    alphabet, own = alphabets.of(shown.group).alphabet, record.words.own()
    rhymes = lesson_planning.round_of(shown.rhymes, school_words(own).bank) if shown.rhymes else None
    words = planned_items([], shown.words, alphabet, own)
    items: dict[Part, Sequence[Item]] = {
        Part.LETTERS: planned_items(shown.letters, [], alphabet, own).items,
        Part.WORDS: words.items,
        Part.RHYME: [WallRhymes(rhymes, alphabet)] if rhymes else [],
    }
    if words.left_out:
        print(text("cli.show.left_out", words=", ".join(words.left_out)), file=sys.stderr)
    ordered = [item for part in shown.order for item in items.get(part, ())]
    return ordered, Rules.of(record.settings)


def _day(typed: str) -> date:
    try:
        return date.fromisoformat(typed)
    except ValueError:
        raise UsageError(f"--day must be a day, such as 2026-09-07, not {typed[:40]!r}") from None


def _group(record: Record, named: str | None) -> str:
    """The group that is named, or the only one that there is."""
    groups = record.pupils.groups(archived=False)
    if named is not None or not groups:
        if named not in groups:
            raise PupilError(no_group(record, named or ""))
        return named
    if len(groups) > 1:
        raise UsageError(f"name the group of the lesson, one of {listed(groups, every=True)}")
    return groups[0]


def _made(state: GroupState, day: date, letters: str | None, words: str | None, rhyme: str | None) -> Lesson:
    """The lesson that is proposed, with what was typed in place of it."""
    from trainer.teaching import lesson_planning

    made = lesson_planning.suggested(
        state, day, None if letters is None else lesson_planning.read_letters(letters, state)
    )
    if words is None and rhyme is None:
        return made
    chosen = made.words if words is None else lesson_planning.read_words(words, state)
    rhymes = made.rhymes if rhyme is None else lesson_planning.read_rhyme(rhyme, state, made.letters)
    return lesson_planning.composed(
        state, day=day, letters=made.letters, words=chosen, rhymes=rhymes, order=()
    )


def _kept(record: Record, made: Lesson, there: Sequence[Lesson], now: datetime) -> Lesson:
    """Keep a lesson, in the place of the last one of that day where there is one."""
    from trainer.teaching import lesson_planning

    lesson_planning.read_day(made.day.isoformat(), now.astimezone().date())
    if not made.letters:
        raise UsageError("a lesson that is kept must have a letter, and none is due: name one with --letters")
    if not there:
        return record.lessons.keep(made, now)
    last = there[0]
    made = replace(made, tables=last.tables, id=last.id, kept=last.kept, changed=last.changed)
    return record.lessons.change(made, now)


def _said(lesson: Lesson, pupils: Sequence[Pupil]) -> Iterator[str]:
    """A lesson as it is printed: its parts with what to say, and who sits together."""
    from trainer.teaching import lesson_planning

    key = "cli.lesson.kept" if lesson.id else "cli.lesson.proposed"
    yield text(key, group=lesson.group, day=day_words(lesson.day, year=True))
    yield INDENT + text("cli.lesson.about", letters=" ".join(lesson.letters), words=" ".join(lesson.words))
    for place, part in enumerate(lesson.parts, 1):
        yield text(
            "lesson.part_line", place=place, part=text(f"lesson.part.{part.part}"), minutes=part.minutes
        )
        yield INDENT + part.say
    for heading, said in lesson_planning.seats(lesson, pupils):
        yield f"{heading}: {said}"


def _remove(record: Record, group: str, day: date, there: Sequence[Lesson]) -> int:
    if not there:
        raise UsageError(f"there must be a lesson for {group} on {day}, and none is kept")
    for each in there:
        record.lessons.remove(each.id or 0)
    print(text("lesson.removed", group=group, day=day_words(day)))
    return 0


def _print(lesson: Lesson, record: Record, alphabets: Alphabets, file: Path, paper: str) -> None:
    from trainer.paper import Paper, lesson_page

    pupils = record.pupils.find(lesson.group)
    save(lesson_page(lesson, pupils, alphabets.of(lesson.group).alphabet, Paper(paper)), file)
