"""`trainer ink`: kept ink goes out as InkML, and comes in from InkML and UNIPEN."""

from __future__ import annotations

import sys
from collections import Counter
from collections.abc import Iterable, Iterator, Sequence
from datetime import UTC, datetime, timedelta
from pathlib import Path
from typing import TYPE_CHECKING

import click

from trainer.atomic_file import replacing
from trainer.commands.options import (
    FILE_OR_DASH,
    Location,
    agreed,
    find_pupil,
    since_option,
    warn,
    with_location,
)
from trainer.commands.parsing import Group
from trainer.errors import BrokenRecordError, UsageError, pass_over
from trainer.language import listed, sentence, text

if TYPE_CHECKING:
    from strokes.files import Specimen
    from trainer.attempt import Attempt, Pupil
    from trainer.record import Record


@click.group(cls=Group, help=text("cli.help.ink"))
def ink() -> None:
    """All that is done with ink files."""


@ink.command("export", help=text("cli.help.ink_export"))
@click.argument("file", type=FILE_OR_DASH, help=text("cli.help.ink_out"))
@click.option("--pupil", "name", metavar="NAME", help=text("cli.help.summary_pupil"))
@click.option("--group", metavar="G", help=text("cli.help.group_of"))
@click.option("--letter", metavar="L", help=text("cli.help.ink_letter"))
@since_option
@click.option("--names", is_flag=True, help=text("cli.help.ink_names"))
@with_location
def export_ink(
    location: Location,
    *,
    file: str,
    name: str | None,
    group: str | None,
    letter: str | None,
    since: datetime | None,
    names: bool,
) -> int:
    """Write the kept ink of the record, of one pupil or of one letter, as InkML."""
    from strokes.files.inkml import inkml_lines
    from trainer.ink_codec import DECIMALS

    with location.open_record() as record:
        pupils: tuple[Pupil, ...] = record.pupils.find(archived=True)
        if name is not None:
            pupils = (find_pupil(record, name, group),)
        damaged: list[str] = []
        counted = _Counted(_specimens(record, pupils, letter, since, damaged, names=names))
        _write(inkml_lines(counted, decimals=DECIMALS), file)
    for said in damaged:
        print(said, file=sys.stderr)
    if file != "-":
        print(text("cli.ink.written", letters=counted.count, file=file))
    return 1 if damaged else 0


@ink.command("import", help=text("cli.help.ink_import"))
@click.argument("file", type=FILE_OR_DASH, help=text("cli.help.ink_in"))
@click.option("--pupil", "name", metavar="NAME", required=True, help=text("cli.help.ink_pupil"))
@click.option("--group", metavar="G", help=text("cli.help.group_of"))
@click.option("--letter", metavar="L", help=text("cli.help.ink_label"))
@click.option(
    "--step",
    type=click.Choice(("trace", "copy", "recall")),
    default="copy",
    help=text("cli.help.ink_step"),
)
@click.option("--yes", is_flag=True, help=text("cli.help.ink_yes"))
@with_location
def import_ink(
    location: Location, *, file: str, name: str, group: str | None, letter: str | None, step: str, yes: bool
) -> int:
    """Take the letters of a file in as attempts of one pupil, judged by the checks of today.

    What is there already is left out. A file that names somebody else is asked about first.
    """
    from strokes.files import read_ink
    from strokes.tolerances import Tolerances
    from trainer.attempt import Step
    from trainer.commands.progress import bar
    from trainer.exchange import Taking
    from trainer.teaching import Rules

    now = datetime.now(UTC)
    with location.open_record() as record:
        pupil = find_pupil(record, name, group)
        alphabets = location.alphabets(record)
        alphabet = alphabets.for_judging(pupil.group)
        warn(alphabets, [pupil.group])
        if letter is not None and letter not in alphabet:
            raise UsageError(f"--letter must be one of {' '.join(alphabet)}, not {letter!r}")
        path, tolerances = Path(file), Tolerances.of(Rules.of(record.settings).stage)
        specimens = read_ink(path)
        taking = Taking(path, pupil, alphabet, letter, Step(step), tolerances)
        read = []
        with bar(text("cli.ink.bar"), len(specimens), stays=False) as advance:
            for attempt in taking.attempts(specimens, now):
                read.append(attempt)
                advance(1)
        attempts, others = _new(record, pupil, read, now)
        if doubts := [*_other_writers(specimens, pupil), *others]:
            print(*doubts, sep="\n", file=sys.stderr)
            if not yes and not agreed(text("cli.ink.ask", name=pupil.name)):
                print(text("cli.ink.nothing"))
                return 1
        number = record.imports.keep(pupil.id, attempts, now) if attempts else 0
        days = record.ink.keep_days
    formed = sum(attempt.formed for attempt in attempts)
    print(text("cli.ink.taken", letters=len(attempts), formed=formed, name=pupil.name))
    if known := len(read) - len(attempts):
        print(text("cli.ink.known", letters=known))
    if left_out := len(specimens) - len(read):
        print(text("cli.ink.left_out", letters=left_out, letter=letter))
    if number:
        print(text("cli.ink.back", number=number))
    if old := sum(attempt.at < now - timedelta(days=days) for attempt in attempts):
        print(text("cli.ink.old", letters=old, days=days))
    return 0


@ink.command("take-back", help=text("cli.help.ink_back"))
@click.argument("number", type=int, required=False, help=text("cli.help.ink_back_number"))
@click.option("--yes", is_flag=True, help=text("cli.help.yes"))
@with_location
def take_back(location: Location, *, number: int | None, yes: bool) -> int:
    """Erase what one import took in; without its number, show which imports there are."""
    from trainer.language import day_words

    with location.open_record() as record:
        names = {pupil.id: pupil.name for pupil in record.pupils.find(archived=True)}
        imports = record.imports.find()
        said = {
            each.number: text(
                "cli.ink.import",
                number=each.number,
                name=names[each.pupil],
                letters=each.letters,
                day=day_words(each.at, year=True),
            )
            for each in imports
        }
        if number is None:
            print("\n".join(said.values()) or text("cli.ink.no_import"))
            return 0
        if number not in said:
            raise UsageError(f"there is no import {number}; trainer ink take-back shows all")
        print(said[number])
        if not yes and not agreed(text("cli.ink.ask_back")):
            print(text("cli.pupil.kept"))
            return 1
        print(text("cli.ink.taken_back", letters=record.imports.take_back(number)))
    return 0


def _new(
    record: Record, pupil: Pupil, attempts: Sequence[Attempt], now: datetime
) -> tuple[list[Attempt], list[str]]:
    """The attempts that the pupil has not got yet; a sentence for each other pupil who has some of them."""
    from trainer.exchange import who_has

    own: dict[str, list[Attempt]] = {}
    new: list[Attempt] = []
    elsewhere: Counter[int] = Counter()
    for attempt in attempts:
        if attempt.at != now:  # the file says when: that moment is looked up among the letters of all
            owners = who_has(attempt, record.attempts.written_at(attempt.letter, attempt.at))
        else:
            if attempt.letter not in own:
                attempts_here = record.attempts.find(pupil.id, attempt.letter, on_damage=pass_over)
                own[attempt.letter] = list(attempts_here)
            owners = who_has(attempt, own[attempt.letter])
        if pupil.id not in owners:
            new.append(attempt)
            elsewhere.update(owners)
    names = {other.id: other.name for other in record.pupils.find(archived=True)}
    return new, [
        text("cli.ink.elsewhere", letters=count, name=names[other]) for other, count in elsewhere.items()
    ]


def _other_writers(specimens: Iterable[Specimen], pupil: Pupil) -> list[str]:
    """A sentence when the file names a writer who is not this pupil; a number is no name."""
    writers = dict.fromkeys(specimen.about.get("writer", "").strip() for specimen in specimens)
    others = [
        writer
        for writer in writers
        if writer and not writer.isdecimal() and writer.casefold() != pupil.name.casefold()
    ]
    return [text("cli.ink.writers", names=listed(others))] if others else []


class _Counted:
    """Passes specimens on and counts them."""

    def __init__(self, specimens: Iterable[Specimen]) -> None:
        self._specimens, self.count = specimens, 0

    def __iter__(self) -> Iterator[Specimen]:
        for specimen in self._specimens:
            self.count += 1
            yield specimen


def _specimens(
    record: Record,
    pupils: Iterable[Pupil],
    letter: str | None,
    since: datetime | None,
    damaged: list[str],
    *,
    names: bool,
) -> Iterator[Specimen]:
    """The attempts that still have their ink, pupil by pupil; without `names` a writer is only a number.

    Of those that cannot be read, or whose ink cannot be, a sentence is added to `damaged`.
    """
    from trainer.exchange import specimen

    def add(error: BrokenRecordError) -> None:
        damaged.append(sentence(error))

    for number, pupil in enumerate(pupils, 1):
        for attempt in record.attempts.find(pupil.id, letter, since, on_damage=add):
            if attempt.unreadable:
                damaged.append(text("cli.ink.damaged", number=attempt.id, reason=attempt.unreadable))
            if len(attempt.ink):
                yield specimen(attempt, pupil.name if names else str(number))


def _write(pieces: Iterable[str], file: str) -> None:
    if file == "-":
        sys.stdout.writelines(pieces)
        return
    with replacing(Path(file), what="the ink", private=True) as writing:
        writing.writelines(piece.encode() for piece in pieces)
