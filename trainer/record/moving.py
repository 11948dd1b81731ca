"""A record moved to another place: from a file to a server, back, or between two of a kind.

Nobody may have it open meanwhile. The rows go over with their numbers, are compared, and then the old record
is sealed, so that no program writes on there. A move that was broken off goes on when it is run again: until
the old record is sealed it is the one that counts, and afterwards the new one, which opens once it is whole.
"""

from __future__ import annotations

from contextlib import closing
from dataclasses import dataclass
from pathlib import Path

from sqlalchemy import Connection

from trainer.errors import RecordError
from trainer.places import is_address
from trainer.record.backup import existing, quietly
from trainer.record.database import Database
from trainer.record.marks import (
    WENT,
    coming,
    give_identity,
    identity,
    mark_as_coming,
    names,
    refuse_marked,
    unmark,
)
from trainer.record.rows import copy_rows, counts, is_empty
from trainer.record.sqlite import Progress


@dataclass(frozen=True)
class Move:
    """The place that a record was moved to, as it may be shown, and how many rows of each table it has."""

    place: str
    rows: dict[str, int]


def move(
    source: Path | str, target: Path | str, *, rehearse: bool = False, progress: Progress = quietly
) -> Move:
    """Move a record to a place where none is, or only an older state of it; with `rehearse`, change nothing.

    Raises RecordError where it cannot be done; BusyError while somebody has one of the two open.
    """
    if _full(source) == _full(target):
        raise RecordError("the record is in that place already; choose another one")
    with closing(existing(source, marked=True)) as old:
        if rehearse:
            return _rehearse(old, target)
        with old.writing(durable=True) as connection:
            if WENT not in names(connection):
                give_identity(connection)
        with closing(Database(target, marked=True)) as new:
            return _move(old, new, _where(target, new), progress)


def _rehearse(old: Database, target: Path | str) -> Move:
    with old.alone() as going:
        rows = counts(going)
        if not is_address(target) and not Path(target).exists():
            if not Path(target).absolute().parent.is_dir():
                raise RecordError(f"{Path(target).parent} must be a folder that is there")
            refuse_marked(old.place, names(going), going)
            return Move(str(target), rows)
        with closing(Database(target, marked=True, migrates=False)) as new, new.reading() as coming_to:
            _refuse(old, going, new, coming_to)
            return Move(_where(target, new), rows)


def _move(old: Database, new: Database, where: str, progress: Progress) -> Move:
    with old.alone() as going:
        rows = counts(going)
        with new.alone() as coming_to:
            _refuse(old, going, new, coming_to)
            new.unseal(coming_to)
            mark_as_coming(coming_to, str(identity(going)))
        if WENT not in names(going):
            copy_rows(going, new, progress)
            old.leave_to(going, where)
    with new.writing(durable=True) as connection:
        unmark(connection)
    return Move(where, rows)


def _refuse(old: Database, going: Connection, new: Database, coming_to: Connection) -> None:
    """Raise RecordError unless the record may go there, or be brought to its end there."""
    name, marks = identity(going), names(coming_to)
    begun = name is not None and coming(marks) == name
    if begun:
        return
    refuse_marked(old.place, names(going), going)
    if coming(marks) is not None:
        refuse_marked(new.place, marks, coming_to)
    older_state = WENT in marks and name is not None and identity(coming_to) == name
    if not older_state and not is_empty(coming_to):
        raise RecordError(f"{new.place}: there is a record already; choose another place")


def _full(place: Path | str) -> str:
    return place if is_address(place) else str(Path(place).resolve())


def _where(target: Path | str, new: Database) -> str:
    """The place as it may be shown anywhere."""
    return new.place if is_address(target) else _full(target)
