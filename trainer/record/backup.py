"""Backups of a record: made while windows write, looked through before they count, and put back.

A backup is a record in one file, whichever kind of database it was made of. It is written beside its place,
under a name that ends in `.part`, and takes its place once it is whole.
"""

from __future__ import annotations

import os
import re
import shutil
from collections.abc import Iterator
from contextlib import closing, contextmanager, suppress
from dataclasses import dataclass
from datetime import datetime
from itertools import chain, count
from pathlib import Path

from sqlalchemy import Connection, func, select

from trainer.errors import (
    BrokenRecordError,
    BusyError,
    NewerRecordError,
    PlaceError,
    ReadOnlyError,
    RecordError,
)
from trainer.places import is_address
from trainer.record import mappers, tables
from trainer.record.database import Database, last_number, number_after, numbered_tables
from trainer.record.marks import give_identity, identity
from trainer.record.record import Record
from trainer.record.rows import copy_rows, counts, is_empty, replace_rows
from trainer.record.settings import Settings
from trainer.record.sqlite import Progress, SQLite, check_header, look_through, read_file
from trainer.record.upkeep import Backup, Upkeep

PART = ".part"
"""Ends the name of a file that is not whole yet."""

_SIDES = ("", "-journal", "-wal", "-shm")
"""What SQLite puts behind the name of a file for those beside it."""

_OF_A_DAY = re.compile(r"record-\d{4}-\d{2}-\d{2}\.sqlite")
"""The names of daily backups."""


@dataclass(frozen=True)
class Contents:
    """What a backup holds: its bytes, how many pupils and attempts, and when it was last written in."""

    size: int
    pupils: int
    attempts: int
    last: datetime | None


def quietly(_: int, __: int) -> None:
    """Tell nobody how far it is."""


def existing(place: Path | str, *, marked: bool = False) -> Database:
    """Open a record that is there already. Raises RecordError where there is none."""
    if not is_address(place) and not Path(place).exists():
        raise RecordError(f"{place}: there is no record here")
    return Database(place, marked=marked)


def room_for(place: Path | str, file: Path) -> tuple[int, int]:
    """The bytes that a backup needs, about, and those that are free where its file would lie."""
    with closing(existing(place)) as database, _naming(file):
        there = next(folder for folder in file.absolute().parents if folder.is_dir())
        return database.size(), shutil.disk_usage(there).free


@contextmanager
def _opened(place: Path | str | Record) -> Iterator[Database]:
    """The database of a record that is open, or that lies at a place."""
    if isinstance(place, Record):
        yield place.database
        return
    with closing(existing(place)) as database:
        yield database


def back_up(place: Path | str, file: Path, *, now: datetime, progress: Progress = quietly) -> Backup:
    """Write a backup of a record into a new file, which its owner alone may read.

    Other windows may go on writing: it holds the record of one moment. It counts once it was opened and
    looked through whole. Raises RecordError or PlaceError, and then nothing is left of it.
    """
    with _opened(place) as database:
        return _back_up(database, file, now, progress)


def back_up_daily(
    place: Path | str | Record, folder: Path, days: int, *, now: datetime, progress: Progress = quietly
) -> tuple[Backup, tuple[Path, ...]]:
    """Write today's backup into a folder, over one of today, and erase all but those of the last `days`.

    Gives back the files that were erased too. Files of other names are left alone.
    """
    with _opened(place) as database, _naming(folder):
        folder.mkdir(mode=0o700, parents=True, exist_ok=True)
        for left in folder.glob(f"*{PART}*"):  # of a backup that was killed on another day
            if _OF_A_DAY.match(left.name):
                left.unlink()
        file = folder / f"record-{mappers.day_of(now)}.sqlite"
        backup = _back_up(database, file, now, progress, over=True)
        by_day = sorted(file for file in folder.iterdir() if _OF_A_DAY.fullmatch(file.name))
        for file in by_day[:-days]:
            file.unlink()
    return backup, tuple(by_day[:-days])


def look_into(file: Path, folder: Path, *, progress: Progress = quietly) -> Contents:
    """Look through a backup whole, in a copy in that folder; raises RecordError where it is none."""
    with _prepared(file, folder, progress) as database, database.reading() as connection:
        rows = counts(connection)
        last = connection.scalar(select(func.max(tables.attempt.c.at)))
    return Contents(file.stat().st_size, rows["pupil"], rows["attempt"], mappers.moment_or_none(last))


def restore(
    file: Path, place: Path | str, folder: Path, *, now: datetime, progress: Progress = quietly
) -> Path | None:
    """Put a backup in the place of a record, or where none is; gives back a copy of what was there.

    That copy is in `folder`, None where nothing was there. Nobody may have the record open. It stays whole
    until the backup is in its place, so that a death in the middle costs nothing. Numbers that it gave are
    not given again.
    """
    before = new_copy(folder, "record-before", now)
    if not is_address(place) and file.exists() and Path(place).exists() and Path(place).samefile(file):
        raise RecordError(f"{file} is the record itself; choose a backup of it")
    with _prepared(file, folder, progress) as prepared:
        if is_address(place):
            there = _restore_on_server(prepared, place, before, progress)
        else:
            try:
                there = _restore_in_file(prepared, Path(place), before, progress)
            except BrokenRecordError:
                _set_aside(Path(place), before)
                there = True
                _restore_in_file(prepared, Path(place), before, progress)
    return before if there else None


def new_copy(folder: Path, name: str, now: datetime) -> Path:
    """A file that is not there yet, for the record as it is at a moment; one more of a second is numbered."""
    stem = f"{name}-{now.astimezone():%Y-%m-%d-%H%M%S}"
    names = chain([stem], (f"{stem}-{number}" for number in count(2)))
    return next(file for file in (folder / f"{name}.sqlite" for name in names) if not file.exists())


def keep_as_it_is(database: Database, file: Path, progress: Progress = quietly) -> None:
    """Write the record, with whatever is wrong in it, into a new file."""
    with _whole(file) as part:
        _copy_into(part, database, progress)


def _copy_into(file: Path, database: Database, progress: Progress) -> None:
    if isinstance(database.store, SQLite):
        database.store.copy_into(file, progress)
    else:
        with database.reading() as connection:
            _copy_rows_into(file, connection, progress)


def _back_up(
    database: Database, file: Path, now: datetime, progress: Progress, *, over: bool = False
) -> Backup:
    with _whole(file, over=over) as part:
        _copy_into(part, database, progress)
        look_through(part)
    backup = Backup(now, file.stat().st_size, str(file.resolve()))
    # The backup is there; a window that holds the record for long does not undo it.
    with suppress(BusyError, ReadOnlyError):
        Upkeep(database, Settings(database)).note_backup(backup)
    return backup


def _restore_in_file(prepared: Database, place: Path, before: Path, progress: Progress) -> bool:
    """Put the prepared record into a file; whether a copy was made of what was there."""
    with closing(Database(place, marked=True)) as current, current.store.alone():
        assert isinstance(current.store, SQLite)
        with current.reading() as connection:
            there = not is_empty(connection)
            given = {table: last_number(connection, table) for table in numbered_tables()}
        if there:
            with _whole(before) as part:
                current.store.copy_into(part, progress)
                look_through(part)
        with prepared.writing() as connection:
            for table, number in given.items():
                number_after(connection, table, number)
        current.store.take_from(Path(prepared.place), progress)
    return there


def _restore_on_server(prepared: Database, place: str, before: Path, progress: Progress) -> bool:
    """The same on a server, in one transaction of it."""
    with closing(Database(place, marked=True)) as current, current.alone() as connection:
        there = not is_empty(connection)
        if there:
            with _whole(before) as part:
                _copy_rows_into(part, connection, progress)
        current.unseal(connection)
        name = identity(connection)
        with prepared.reading() as source:
            replace_rows(source, connection, current.place, progress)
        if name is not None:  # an older backup has none, and screens still have something for this record
            give_identity(connection, name)
    return there


def _copy_rows_into(file: Path, source: Connection, progress: Progress) -> None:
    with closing(Database(file)) as copy:
        copy_rows(source, copy, progress)


@contextmanager
def _prepared(file: Path, folder: Path, progress: Progress) -> Iterator[Database]:
    """A backup as a record of today's shape, open to its writers, in a copy that goes again."""
    copy = folder / f"restored{PART}"
    with _naming(file):
        check_header(file)
        _remove(copy)
        try:
            SQLite(copy)  # for its owner alone
            read_file(file, copy, progress)
            look_through(copy)
            with closing(Database(copy, marked=True)) as database:
                with database.writing() as connection:
                    database.unseal(connection)
                yield database
        except (BrokenRecordError, NewerRecordError) as error:
            raise type(error)(str(error).replace(str(copy), str(file))) from error
        finally:
            _remove(copy)


@contextmanager
def _whole(file: Path, *, over: bool = False) -> Iterator[Path]:
    """A file to write that becomes `file` once the block has ended well; only with `over` if one is there."""
    part = file.with_name(file.name + PART)
    with _naming(file):
        if file.exists() and not over:
            raise RecordError(f"{file} is there already; choose another name")
        _remove(part)
        try:
            os.close(os.open(part, os.O_WRONLY | os.O_CREAT | os.O_EXCL, 0o600))
            yield part
            with part.open("rb+") as written:
                os.fsync(written.fileno())
            part.replace(file)
        finally:
            _remove(part)


def _set_aside(place: Path, before: Path) -> None:
    """Give a damaged record another name, with all that lies beside it."""
    for side in _SIDES:
        beside = place.with_name(place.name + side)
        if beside.exists():
            beside.rename(before.with_name(before.name + side))


def _remove(file: Path) -> None:
    for side in _SIDES:
        file.with_name(file.name + side).unlink(missing_ok=True)


@contextmanager
def _naming(file: Path) -> Iterator[None]:
    """What the system refuses, as one sentence that names a file."""
    try:
        yield
    except OSError as error:
        raise PlaceError(f"{error.filename or file}: it cannot be used: {error.strerror}") from error
