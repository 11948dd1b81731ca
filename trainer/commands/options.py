"""What was chosen on the command line: the record, the alphabet, a pupil, letters, a day, a size."""

from __future__ import annotations

import re
import sys
from argparse import Namespace
from collections.abc import Iterable, Iterator
from contextlib import contextmanager
from datetime import date, datetime, time
from pathlib import Path
from typing import TYPE_CHECKING

from trainer import places
from trainer.errors import PupilError, UsageError
from trainer.language import text

if TYPE_CHECKING:
    from strokes.alphabet import Alphabet
    from trainer.attempt import Pupil
    from trainer.practice import PracticeRecord
    from trainer.record import Record
    from trainer.teaching import Alphabets

SMALLEST, LARGEST = 200, 20000
"""The bounds of a window's width and height, in pixels: beyond them the size is a slip of the fingers."""


@contextmanager
def record(chosen: Namespace) -> Iterator[Record]:
    """The record of --record or of --data, or the user's own; closed afterwards."""
    from trainer.record import Record

    with Record.open(address(chosen) or places.record_file(chosen.data)) as record:
        yield record


def address(chosen: Namespace) -> str | None:
    """The address of --record; what was typed in its place is not said again, as it may have a password."""
    typed: str | None = chosen.record
    if typed is not None and not places.is_address(typed):
        raise UsageError(
            "--record must be the address of a database, such as postgresql://user@server/database; "
            "a folder is chosen with --data"
        )
    return typed


def alphabets(
    chosen: Namespace, record: PracticeRecord | None = None, folder: Path | None = None
) -> Alphabets:
    """The alphabets of a run: the one in `folder` or of --alphabet for every group, else those of the record.

    Raises LetterFileError where a folder was named and nothing in it can be used.
    """
    from trainer.teaching import Alphabets

    named: Path | None = folder or chosen.alphabet
    found = Alphabets(
        named or places.own_letters(chosen.data),
        record.settings.get if record else None,
        named=named is not None,
    )
    if named is not None:
        found.for_judging("")
    return found


def tell(alphabets: Alphabets, groups: Iterable[str | None]) -> None:
    """Say on the error side what must be mended in the alphabets of these groups."""
    if said := alphabets.told(groups):
        for sentence in (*said, text("alphabet.aside.how")):
            print(sentence, file=sys.stderr)


def pupil(record: Record, name: str, group: str | None) -> Pupil:
    """The pupil of that name; capitals do not matter."""
    found = [
        pupil
        for pupil in record.pupils.find(group, archived=True)
        if pupil.name.casefold() == name.casefold()
    ]
    if not found:
        place = f"the group {group}" if group is not None else "the record"
        raise PupilError(f"{place} has no pupil named {name!r}; trainer pupil list shows all")
    if len(found) > 1:
        groups = " and ".join(pupil.group for pupil in found)
        raise UsageError(f"{groups} each have a pupil named {name!r}; say which with --group")
    return found[0]


def no_group(record: Record, group: str) -> str:
    """The sentence for a group without pupils: which groups there are."""
    groups = ", ".join(record.pupils.groups())
    return f"there is no group {group!r}; " + (f"the groups are: {groups}" if groups else "add a pupil first")


def letters(typed: list[str], alphabet: Alphabet) -> list[str]:
    """Letter names from words such as `c o a d`, `c,o,a,d` or `coad`."""
    words = [word for argument in typed for word in re.split(r"[\s,;]+", argument) if word]
    letters = [letter for word in words for letter in ([word] if word in alphabet else word)]
    for letter in letters:
        if letter not in alphabet:
            raise UsageError(
                f"{letter!r} is not a letter of the alphabet {alphabet.name}: {' '.join(alphabet)}"
            )
    if not letters:
        raise UsageError("a plan must have at least one letter, not none")
    return letters


def size(typed: str | None) -> tuple[int, int] | None:
    """Width and height in pixels from a word such as `1280x800`."""
    if typed is None:
        return None
    match = re.fullmatch(r"(\d{1,5})[xX](\d{1,5})", typed)
    if not match or not all(SMALLEST <= int(side) <= LARGEST for side in match.groups()):
        raise UsageError(f"--size must be a width and a height in pixels, such as 1280x800, not {typed!r}")
    return int(match[1]), int(match[2])


def day(typed: str | None) -> datetime | None:
    """The beginning of a day, on this machine's calendar, from a word such as `2026-09-07`."""
    if typed is None:
        return None
    try:
        return datetime.combine(date.fromisoformat(typed), time()).astimezone()
    except (ValueError, OverflowError):
        raise UsageError(f"--since must be a day, such as 2026-09-07, not {typed!r}") from None


def agreed(question: str) -> bool:
    """Whether somebody at the terminal says yes."""
    if not sys.stdin.isatty():
        raise UsageError("nobody is there to ask; add --yes to erase without asking")
    return input(f"{question} ").strip().casefold() in ("y", "yes")
