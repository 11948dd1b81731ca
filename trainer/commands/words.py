"""`trainer words`: the words that a group can write, what it was taught, and words of the school's own."""

from __future__ import annotations

import re
import shutil
import sys
import textwrap
from string import ascii_lowercase
from typing import TYPE_CHECKING

import click

from trainer.commands.options import Location, agreed, no_group, with_location
from trainer.commands.parsing import Group
from trainer.errors import PupilError, UsageError, WordError
from trainer.language import sound_words, text

if TYPE_CHECKING:
    from trainer.record import Record
    from trainer.wordbank import SchoolWords, Word, WordBank

SHOWN = 24
"""Words of a set that are shown unless all are asked for."""

NAMES = "names"
"""The set of the children's first names."""

GROUP = click.option("--group", metavar="G", help=text("cli.help.words_group"))


@click.group(cls=Group, invoke_without_command=True, help=text("cli.help.words"))
@GROUP
@click.option("--set", "name", metavar="SET", help=text("cli.help.words_set"))
@click.option("--all", "every", is_flag=True, help=text("cli.help.words_all"))
@with_location
@click.pass_context
def words(
    context: click.Context, location: Location, *, group: str | None, name: str | None, every: bool
) -> int | None:
    """Print the words that each group can write, set by set."""
    if context.invoked_subcommand is not None:
        if group is not None or name is not None or every:
            raise UsageError("--group, --set and --all of trainer words must stand without another command")
        return None
    with location.open_record() as record:
        school = _school(record)
        bank = school.bank
        if name not in (None, *bank.set_names, NAMES):
            raise UsageError(f"--set must be one of {', '.join((*bank.set_names, NAMES))}, not {name!r}")
        for number, each in enumerate(_groups(record, group)):
            if number:
                print()
            _show(record, bank, each, name, every)
        for word, reason in school.set_aside.items():
            print(text("words.own.set_aside", word=word, reason=reason), file=sys.stderr)
    return 0


@words.command("add", help=text("cli.help.words_add"))
@click.argument("lines", nargs=-1, required=True, metavar="WORD...", help=text("cli.help.words_lines"))
@click.option("--yes", is_flag=True, help=text("cli.help.words_yes"))
@with_location
def add(location: Location, *, lines: tuple[str, ...], yes: bool) -> int:
    """Add words, after their boxes were shown and somebody agreed."""
    from trainer.wordbank import notation, read_lines

    with location.open_record() as record:
        bank = _school(record).bank
        typed = "".join(sys.stdin) if lines == ("-",) else "\n".join(lines)
        read = read_lines(typed, bank)
        if not read:
            raise UsageError("there must be at least one word, not none")
        if wrong := [line for line in read if line.word is None]:
            raise WordError("; ".join(f"{line.line}: {line.wrong}" for line in wrong))
        adding = [line.word for line in read if line.word is not None]
        width = max(len(word.text) for word in adding)
        for word in adding:
            print(f"{word.text:{width}}  {boxes(word)}")
            _print_wrapped(f"{notation(word, bank.graphemes)}: {sounds(word)}", indent=width + 2)
        if not yes and not agreed(text("cli.words.ask")):
            print(text("cli.words.nothing"))
            return 1
        record.words.add({word.text: notation(word, bank.graphemes) for word in adding})
    print(text("words.add.done", words=", ".join(word.text for word in adding)))
    return 0


@words.command("remove", help=text("cli.help.words_remove"))
@click.argument("word", help=text("cli.help.words_word"))
@with_location
def remove(location: Location, *, word: str) -> int:
    """Take a word of the school's own away, and say how to put it back."""
    with location.open_record() as record:
        spelling = record.words.remove(word)
    print(text("words.own.removed", word=word), text("cli.words.undo", word=word, spelling=spelling))
    return 0


@words.command("taught", help=text("cli.help.words_taught"))
@click.argument("names", nargs=-1, metavar="[SPELLING]...", help=text("cli.help.words_names"))
@GROUP
@click.option("--clear", is_flag=True, help=text("cli.help.words_clear"))
@with_location
def taught(location: Location, *, names: tuple[str, ...], group: str | None, clear: bool) -> int:
    """Show what was marked as taught, or mark more of it, or nothing any more."""
    if clear and names:
        raise UsageError("give either spellings or --clear, not both")
    with location.open_record() as record:
        bank = _school(record).bank
        more = _names(bank, names)
        for each in _groups(record, group):
            if more or clear:
                record.words.set_taught(each, set() if clear else {*record.words.taught(each), *more})
            marked = [name for name in _markable(bank) if name in record.words.taught(each)]
            key = "taught" if marked else "taught_none"
            print(text(f"cli.words.{key}", group=each))
            _print_wrapped(" ".join(marked))
    return 0


def boxes(word: Word) -> str:
    """The sound boxes of a word: `[c][a][k] e`; a silent e stands outside."""
    return "".join(f" {letters} " if box is None else f"[{letters}]" for letters, box in word.pieces).rstrip()


def sounds(word: Word) -> str:
    """How its boxes sound, in words."""
    return ", ".join(sound_words(box) for box in word.boxes)


def _show(record: Record, bank: WordBank, group: str, name: str | None, every: bool) -> None:
    from trainer import wordbank

    written = [
        line.letter for line in record.figures.summary(group, findings=False, lately=False, other=False).lines
    ]
    known = wordbank.taught(bank, record.words.taught(group), written)
    offered = bank.offered(known, record.plans.get(group))
    names = wordbank.names_offered((pupil.name for pupil in record.pupils.find(group)), written)
    if offered:
        small = known.letters & set(ascii_lowercase)
        counts = {"words": len(offered), "letters": len(small), "spellings": len(known.spellings)}
        print(text("words.count", group=group, **counts))
    else:
        print(text("words.none", group=group))
    sets = {**bank.by_set(offered), NAMES: names}
    for each, some in sets.items():
        if some and name in (None, each):
            shown = some if every else some[:SHOWN]
            listed = " ".join(word.text for word in shown)
            if left := len(some) - len(shown):
                listed += " (" + text("words.more", count=left) + ")"
            print(text("cli.words.set", name=text(f"words.set.{each}"), count=len(some)))
            _print_wrapped(listed)


def _names(bank: WordBank, typed: tuple[str, ...]) -> set[str]:
    """The names that are meant: a letter means its usual sound, `sh` or `ow` all its ways to sound."""
    names: set[str] = set()
    for name in (name for argument in typed for name in re.split(r"[\s;]+", argument) if name):
        if name in _markable(bank):
            names.add(name)
        elif name in bank.graphemes:
            names.update(way.name for way in bank.graphemes[name])
        else:
            raise UsageError(f"{name!r} is no spelling; these are: {' '.join(_markable(bank))}")
    return names


def _markable(bank: WordBank) -> tuple[str, ...]:
    from trainer.wordbank import markable

    return markable(bank)


def _school(record: Record) -> SchoolWords:
    from trainer.wordbank import school_words

    return school_words(record.words.own())


def _groups(record: Record, group: str | None) -> tuple[str, ...]:
    from trainer.record import DEFAULT_GROUP

    groups = record.pupils.groups(archived=False) or (DEFAULT_GROUP,)
    if group is None:
        return groups
    if group not in groups:
        raise PupilError(no_group(record, group))
    return (group,)


def _print_wrapped(said: str, *, indent: int = 2) -> None:
    """Print it moved in, in lines as wide as the terminal."""
    blank, width = " " * indent, min(shutil.get_terminal_size().columns, 100)
    lines = textwrap.wrap(said, width, initial_indent=blank, subsequent_indent=blank, break_on_hyphens=False)
    print(*lines, sep="\n", end="\n" * bool(lines))
