"""What was chosen on the command line: the record, the alphabet, a pupil, letters, a day, a size."""

from __future__ import annotations

import re
import sys
from argparse import Namespace
from collections.abc import Iterator
from contextlib import contextmanager
from datetime import date, datetime, time
from pathlib import Path
from typing import TYPE_CHECKING

from trainer import places
from trainer.errors import PupilError, UsageError

if TYPE_CHECKING:
    from strokes.letter import Alphabet
    from trainer.attempt import Pupil
    from trainer.keeper import Keeper
    from trainer.record import Record

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


def alphabet(chosen: Namespace, folder: Path | None = None) -> Alphabet:
    """The alphabet in `folder`, or the one that the command line or the data folder chooses."""
    from strokes.letterfile import load_alphabet

    return load_alphabet(folder or alphabet_folder(chosen))


def alphabet_practiced(chosen: Namespace, record: Keeper | None = None, group: str = "") -> Alphabet:
    """The alphabet of --alphabet, else the one that a group practices; without a group, who has no choice."""
    from trainer.alphabets import alphabet_in, alphabet_used, setting

    if chosen.alphabet is not None:
        return alphabet_in(Path(chosen.alphabet))
    kept = record.setting(setting(group)) if record else None
    return alphabet_used(places.own_letters(chosen.data), kept)


def alphabet_kept(chosen: Namespace, record: Record, group: str) -> Alphabet:
    """The same for judging what is kept: a broken alphabet is told, as no other may stand in for it."""
    from trainer.alphabets import alphabet_in, alphabets, setting, used

    if chosen.alphabet is not None:
        return alphabet_in(Path(chosen.alphabet))
    own = places.own_letters(chosen.data)
    return alphabet_in(alphabets(own)[used(own, record.setting(setting(group)))])


def alphabet_folder(chosen: Namespace) -> Path | None:
    """The folder of --alphabet, else the teacher's own where there is one; None is the shipped one."""
    if chosen.alphabet is not None:
        return Path(chosen.alphabet)
    own = places.own_letters(chosen.data)
    return own if own.is_dir() else None


def pupil(record: Record, name: str, group: str | None) -> Pupil:
    """The pupil of that name; capitals do not matter."""
    found = [
        pupil for pupil in record.pupils(group, archived=True) if pupil.name.casefold() == name.casefold()
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
    groups = ", ".join(record.groups())
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
