"""Options that several commands share, and what their values stand for: a place, a pupil, a day, a size."""

from __future__ import annotations

import os
import re
import shlex
import shutil
import subprocess
import sys
from collections.abc import Callable, Iterable, Iterator, Sequence
from contextlib import contextmanager, suppress
from dataclasses import dataclass, replace
from datetime import date, datetime, time
from pathlib import Path
from typing import TYPE_CHECKING, Any, Concatenate, ParamSpec, TypedDict, TypeVar

import click

from trainer import places
from trainer.attempt import Pupil, tidy_name
from trainer.errors import PupilError, RecordError, UsageError
from trainer.language import sentence, text

if TYPE_CHECKING:
    from trainer.practice import PracticeRecord
    from trainer.record import Record
    from trainer.teaching import Alphabets

Function = TypeVar("Function", bound=Callable[..., Any])
Rest = ParamSpec("Rest")
Result = TypeVar("Result")

SMALLEST, LARGEST = 200, 20000
"""The bounds of a window's width and height, in pixels: beyond them the size is a slip of the fingers."""

PATH = click.Path(readable=False, path_type=Path)
FILE_OR_DASH = click.Path(readable=False)
"""Files and folders, which a shell can complete. Whether they can be used is found out by using them."""


@dataclass(frozen=True)
class Location:
    """Where a command finds the record and the letters: what --data, --record and --alphabet said."""

    data: Path | None = None
    url: str | None = None
    alphabet: Path | None = None

    @contextmanager
    def open_record(self) -> Iterator[Record]:
        """The record of --record or of --data, or the user's own; closed afterwards."""
        from trainer.record import Record

        with Record.open(self.address() or places.record_file(self.data)) as record:
            yield record

    @contextmanager
    def open_for_practice(self) -> Iterator[PracticeRecord]:
        """The same record for a practice window; of one on a server, what is written waits here first."""
        address = self.address()
        if address is None:
            with self.open_record() as record:
                yield record
            return
        from trainer.record.outbox import ScreenRecord

        with ScreenRecord.open(address, places.data_folder(self.data)) as screen_record:
            yield screen_record
        with suppress(OSError):  # a window may have no terminal
            self.say_what_waits()

    def say_what_waits(self) -> None:
        """Print what was written at windows of this machine and is not on the server of its record yet."""
        from trainer.record import outbox

        troubles: list[RecordError] = []
        for box in outbox.waiting(places.data_folder(self.data), troubles.append):
            print(text("record.waiting", count=box.items, place=box.place))
        for error in troubles:
            print(sentence(error))

    def address(self) -> str | None:
        """The address of --record. What was typed there is not shown again, as it may have a password."""
        if self.url is not None and not places.is_address(self.url):
            raise UsageError(
                "--record must be the address of a database, such as postgresql://user@server/database; "
                "a folder is chosen with --data"
            )
        return self.url

    def words(self) -> list[str]:
        """What --data, --record and --alphabet would be in any other folder; no password stands in them."""
        words = []
        if self.data is not None:
            words += ["--data", str(self.data.absolute())]
        if self.url is not None:
            words += ["--record", places.without_secrets(self.url)]
        if self.alphabet is not None:
            words += ["--alphabet", str(self.alphabet.absolute())]
        return words

    def typed(self, command: str) -> str:
        """The line that does this command at this place, as a terminal of this machine takes it."""
        return quoted([*_program(), command, *self.words()])

    def alphabets(self, record: PracticeRecord | None = None) -> Alphabets:
        """The alphabet of --alphabet for every group, else those of the record and of its data folder.

        Raises LetterFileError where --alphabet was given and nothing in that folder can be used.
        """
        from trainer.teaching import Alphabets

        alphabets = Alphabets(
            self.alphabet or places.own_letters(self.data),
            record.settings.get if record else None,
            named=self.alphabet is not None,
        )
        if self.alphabet is not None:
            alphabets.for_judging("")
        return alphabets


def quoted(words: Sequence[str]) -> str:
    """Words as one line of a terminal: for a POSIX shell, or for PowerShell and the command prompt."""
    return subprocess.list2cmdline(words) if os.name == "nt" else shlex.join(words)


def _program() -> list[str]:
    """How this very program is begun: by its bare name where a terminal finds it, else by its whole path."""
    beside = Path(sys.executable).parent
    script = shutil.which("trainer", path=str(beside))
    if script is None:
        return [sys.executable, "-m", "trainer"]
    installed = shutil.which("trainer")
    return ["trainer"] if installed is not None and Path(installed).samefile(script) else [script]


def _into_location(context: click.Context, option: click.Parameter, value: Path | str | None) -> None:
    """Keep a value for the command that follows; what stands later on the line wins."""
    if value is not None:
        changed: dict[str, Any] = {option.name: value}
        context.obj = replace(context.ensure_object(Location), **changed)


def location_options(command: Function) -> Function:
    """Let a command take --data, --record and --alphabet. They may stand before its name as well."""
    for option, field, kind, metavar, help_text in (
        ("--alphabet", "alphabet", PATH, "FOLDER", text("cli.help.letters_of")),
        ("--record", "url", click.STRING, "URL", text("cli.help.record")),
        ("--data", "data", PATH, "FOLDER", text("cli.help.data")),
    ):
        command = click.option(
            *(option, field),
            type=kind,
            metavar=metavar,
            expose_value=False,
            callback=_into_location,
            help=help_text,
        )(command)
    return command


def with_location(command: Callable[Concatenate[Location, Rest], Result]) -> Callable[Rest, Result]:
    """Let a command take --data, --record and --alphabet, and hand it the Location that they name."""
    return location_options(click.make_pass_decorator(Location, ensure=True)(command))


def size(typed: str) -> tuple[int, int]:
    """Width and height in pixels from a word such as `1280x800`."""
    match = re.fullmatch(r"(\d{1,5})[xX](\d{1,5})", typed)
    if not match or not all(SMALLEST <= int(side) <= LARGEST for side in match.groups()):
        raise UsageError(f"--size must be a width and a height in pixels, such as 1280x800, not {typed!r}")
    return int(match[1]), int(match[2])


class WindowOptions(TypedDict):
    """What the options of the practice window said; the size is in pixels, screens are counted from 1."""

    fullscreen: bool
    size: tuple[int, int] | None
    still: bool
    screen: int


def screen_option(command: Function) -> Function:
    """Let a command take --screen, the number of a screen."""
    return click.option(
        "--screen", metavar="N", type=click.IntRange(1, 99), default=1, help=text("cli.help.screen")
    )(command)


def window_options(command: Function) -> Function:
    """Let a command that opens the practice window take --fullscreen, --size, --screen and --still."""
    for option in (
        click.option("--still", is_flag=True, help=text("cli.help.still")),
        screen_option,
        click.option("--size", metavar="WxH", type=size, help=text("cli.help.size")),
        click.option("--fullscreen", is_flag=True, help=text("cli.help.fullscreen")),
    ):
        command = option(command)
    return command


def day(typed: str) -> datetime:
    """The beginning of a day, on this machine's calendar, from a word such as `2026-09-07`."""
    try:
        return datetime.combine(date.fromisoformat(typed), time()).astimezone()
    except (ValueError, OverflowError):
        raise UsageError(f"--since must be a day, such as 2026-09-07, not {typed!r}") from None


def since_option(command: Function) -> Function:
    """Let a command take --since, the first day of what it works on."""
    return click.option("--since", metavar="DATE", type=day, help=text("cli.help.since"))(command)


def find_pupil(record: Record, name: str, group: str | None) -> Pupil:
    """The pupil of that name; capitals do not matter."""
    named = [
        pupil
        for pupil in record.pupils.find(group, archived=True)
        if tidy_name(pupil.name).casefold() == tidy_name(name).casefold()
    ]
    if not named:
        place = f"the group {group}" if group is not None else "the record"
        raise PupilError(f"{place} has no pupil named {name!r}; trainer pupil list shows all")
    if len(named) > 1:
        groups = " and ".join(pupil.group for pupil in named)
        raise UsageError(f"{groups} each have a pupil named {name!r}; say which with --group")
    return named[0]


def pupils_of(record: Record, group: str | None) -> tuple[Pupil, ...]:
    """The pupils of a group, which must have some, or those of the whole class."""
    pupils = record.pupils.find(group)
    if group is not None and not pupils:
        raise PupilError(no_group(record, group))
    return pupils


def no_group(record: Record, group: str) -> str:
    """The sentence for a group without pupils: which groups there are."""
    groups = ", ".join(record.pupils.groups())
    return f"there is no group {group!r}; " + (f"the groups are: {groups}" if groups else "add a pupil first")


def warn(alphabets: Alphabets, groups: Iterable[str | None]) -> None:
    """Say on the error side what must be mended in the alphabets of these groups."""
    if sentences := alphabets.to_mend(groups):
        for sentence in (*sentences, text("alphabet.aside.how")):
            print(sentence, file=sys.stderr)


def agreed(question: str) -> bool:
    """Whether somebody at the terminal says yes."""
    if not sys.stdin.isatty():
        raise UsageError("nobody is there to ask; add --yes to do it without asking")
    return input(f"{question} ").strip().casefold() in ("y", "yes")
