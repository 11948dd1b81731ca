"""A screen's outbox: a small SQLite file in its data folder, in which what was written waits for the server.

One file a window, with a lock that the system lets go when its program dies, so that a window never sends
what is still being written at another one. A later window takes over what a dead one left.
"""

from __future__ import annotations

import json
import os
import sqlite3
import uuid
from collections import Counter
from collections.abc import Callable, Collection, Iterator, Sequence
from contextlib import closing, contextmanager, suppress
from dataclasses import dataclass
from hashlib import sha256
from itertools import count
from pathlib import Path
from typing import Any, TypeAlias

from trainer.errors import BrokenRecordError, NewerRecordError, RecordError
from trainer.record import tables
from trainer.record.deliveries import KINDS, Item
from trainer.record.sqlite import check_header, sentence_of

FOLDER = "outbox"
"""The folder of the outboxes, in the data folder."""

OnTrouble: TypeAlias = Callable[[RecordError], object]
"""Is told of an outbox that cannot be read."""

PLACE = "place"
"""Under which an outbox notes of which record it is, for people."""

DRAFT, READY, DAMAGED = "draft", "ready", "damaged"
"""States of an item: still being written; on its way; one that the server's database does not take."""

_SHAPE = 1
"""The shape of these tables, for later versions of the program."""

_TABLES = (
    "CREATE TABLE about (name TEXT NOT NULL PRIMARY KEY, value TEXT NOT NULL)",
    """CREATE TABLE item (
        number INTEGER PRIMARY KEY AUTOINCREMENT,
        id TEXT NOT NULL UNIQUE,
        kind TEXT NOT NULL,
        pupil INTEGER NOT NULL,
        state TEXT NOT NULL,
        content TEXT NOT NULL,
        ink BLOB
    )""",
    f"PRAGMA user_version = {_SHAPE}",
)

_COLUMNS = "id, kind, pupil, content, ink"

_PEN_WAITS = 0.25
"""Seconds that a pen-up waits for the sender of its own window, whose transactions are short."""

_OTHERS_WAIT = 5.0

_FINDING = {column.name for column in tables.finding.c} - {"attempt"}


@dataclass(frozen=True)
class Waiting:
    """What waits in one outbox: of which record, how many items, how many damaged ones, and bytes."""

    place: str
    items: int
    damaged: int
    size: int
    file: Path


class Outbox:
    """An open outbox, for one thread: the window has one on the file, its sender another.

    Raises RecordError where the file cannot be used.
    """

    def __init__(self, file: Path) -> None:
        self.file = file
        self._said: dict[str, str] = {}
        with self._translating():
            check_header(file, os.O_RDWR | os.O_CREAT)  # for its owner alone
            self._database = sqlite3.connect(file, isolation_level=None, check_same_thread=False)
        with self._translating():
            for pragma in ("journal_mode = WAL", "secure_delete = ON", "wal_autocheckpoint = 0"):
                self._database.execute(f"PRAGMA {pragma}")
            if self._shape() == 0:
                with self._writing(durable=True, patience=_OTHERS_WAIT) as database:
                    for statement in () if self._shape() else _TABLES:
                        database.execute(statement)
        if self._shape() > _SHAPE:
            raise NewerRecordError(
                f"{file} was written by a newer version of this program; install that version to send it"
            )

    def close(self) -> None:
        """Close it."""
        self._database.close()

    def about(self, name: str) -> str | None:
        """What was noted of the outbox itself under a name."""
        with self._translating():
            row = self._database.execute("SELECT value FROM about WHERE name = ?", (name,)).fetchone()
        return None if row is None else str(row[0])

    def note(self, name: str, value: str) -> None:
        """Note something of the outbox itself."""
        with self._translating():
            self._wait(durable=True, patience=_OTHERS_WAIT)
            self._database.execute("INSERT OR REPLACE INTO about VALUES (?, ?)", (name, value))

    # For the window

    def keep(self, item: Item, *, draft: bool = False) -> None:
        """Keep an item, in the place of its draft where there is one; it is committed when this returns.

        A draft waits for no disk, as in the record; what is finished does.
        """
        row = {name: value for name, value in item.row.items() if name != "ink"}
        content = json.dumps({"row": row, "findings": list(item.findings)}, default=_plain)
        values = (item.id, item.kind, item.pupil, DRAFT if draft else READY, content, item.row["ink"])
        with self._translating():
            self._wait(durable=not draft)
            self._database.execute(  # a transaction of its own: less to wait for at a pen-up
                "INSERT INTO item (id, kind, pupil, state, content, ink) VALUES (?, ?, ?, ?, ?, ?) "
                "ON CONFLICT (id) DO UPDATE SET state = excluded.state, content = excluded.content, "
                "ink = excluded.ink",
                values,
            )

    def leave(self, number: str) -> None:
        """A draft goes on its way as it is: it was broken off."""
        with self._translating():
            self._wait()
            self._database.execute("UPDATE item SET state = ? WHERE id = ?", (READY, number))

    def drop(self, number: str) -> None:
        """Forget a draft."""
        with self._translating():
            self._wait()
            self._database.execute("DELETE FROM item WHERE id = ? AND state = ?", (number, DRAFT))

    # For the sender

    def batch(self, most: int) -> tuple[Item, ...]:
        """The oldest items that are ready; one that cannot be read is damaged, and costs only itself."""
        items = []
        with self._translating():
            rows = self._database.execute(
                f"SELECT {_COLUMNS} FROM item WHERE state = ? ORDER BY number LIMIT ?", (READY, most)
            ).fetchall()
        for row in rows:
            try:
                items.append(_item(*row))
            except (ValueError, TypeError, KeyError):
                self.set_aside([row[0]])
        return tuple(items)

    def delivered(self, numbers: Collection[str]) -> None:
        """These items are in the record: erase them here."""
        with self._writing(patience=_OTHERS_WAIT) as database:
            database.executemany("DELETE FROM item WHERE id = ?", [(number,) for number in numbers])

    def set_aside(self, numbers: Collection[str]) -> None:
        """These cannot be delivered: they stay, and hold up nothing."""
        with self._writing(patience=_OTHERS_WAIT) as database:
            database.executemany(
                "UPDATE item SET state = ? WHERE id = ?", [(DAMAGED, number) for number in numbers]
            )

    def forget(self, pupils: Collection[int]) -> None:
        """Erase all items of pupils who were erased from the record, and what the files have of them."""
        with self._writing(patience=_OTHERS_WAIT) as database:
            database.executemany("DELETE FROM item WHERE pupil = ?", [(pupil,) for pupil in pupils])
        self.scrub()

    def fold(self) -> None:
        """Fold the write-ahead file in, so that it does not grow; no pen-up waits for that."""
        with self._translating():
            self._database.execute("PRAGMA wal_checkpoint(PASSIVE)")

    def scrub(self) -> None:
        """Fold the write-ahead file in and empty it: it still has what was deleted."""
        with self._translating():
            self._database.execute("PRAGMA wal_checkpoint(TRUNCATE)")

    def break_off(self) -> None:
        """All drafts go on their way as they are."""
        with self._writing(patience=_OTHERS_WAIT) as database:
            database.execute("UPDATE item SET state = ? WHERE state = ?", (READY, DRAFT))

    def take_over(self, other: Outbox) -> None:
        """What a dead window left goes on its way from here; it is here before it leaves there."""
        with other._translating():
            rows = other._database.execute(
                f"SELECT {_COLUMNS}, CASE state WHEN '{DRAFT}' THEN '{READY}' ELSE state END FROM item "
                "ORDER BY number"
            ).fetchall()
        with self._writing(durable=True, patience=_OTHERS_WAIT) as database:
            database.executemany(
                f"INSERT OR IGNORE INTO item ({_COLUMNS}, state) VALUES (?, ?, ?, ?, ?, ?)", rows
            )
        if rows:
            other.delivered([row[0] for row in rows])
            other.scrub()

    def states(self) -> Counter[str]:
        """How many items there are in each state."""
        with self._translating():
            return Counter(dict(self._database.execute("SELECT state, count(*) FROM item GROUP BY state")))

    def _shape(self) -> int:
        (shape,) = self._database.execute("PRAGMA user_version").fetchone()
        return int(shape)

    @contextmanager
    def _writing(
        self, *, durable: bool = False, patience: float = _PEN_WAITS
    ) -> Iterator[sqlite3.Connection]:
        database = self._database
        with self._translating():
            self._wait(durable=durable, patience=patience)
            database.execute("BEGIN IMMEDIATE")
            try:
                yield database
                database.execute("COMMIT")
            except BaseException:
                with suppress(sqlite3.Error):  # SQLite may have undone it by itself, as on a full disk
                    database.execute("ROLLBACK")
                raise

    def _wait(self, *, durable: bool = False, patience: float = _PEN_WAITS) -> None:
        """Say for how many seconds to wait for others from now on, and whether for the disk as well."""
        wanted = {"busy_timeout": str(int(patience * 1000)), "synchronous": "FULL" if durable else "NORMAL"}
        for name, value in wanted.items():
            if self._said.get(name) != value:
                self._database.execute(f"PRAGMA {name} = {value}")
                self._said[name] = value

    @contextmanager
    def _translating(self) -> Iterator[None]:
        try:
            yield
        except sqlite3.Error as error:
            raise sentence_of(str(self.file), error) from error
        except OSError as error:
            raise RecordError(f"{self.file}: the outbox could not be opened: {error.strerror}") from error


class Slot:
    """The place of one window among the outboxes of a record: the first one that no other window holds.

    `outbox` is the window's own. One that is damaged, or of a newer version, stays as it is for whoever mends
    it, and is passed over: practice goes on.
    """

    def __init__(self, data_folder: Path, identity: str) -> None:
        """Take a place; `identity` tells the record from any other."""
        self.folder = data_folder / FOLDER
        try:
            self.folder.mkdir(mode=0o700, exist_ok=True)
        except OSError as error:
            raise RecordError(f"{self.folder}: the outbox could not be made: {error.strerror}") from error
        self._stem = sha256(identity.encode()).hexdigest()[:32]
        for number in count(1):
            self.file = self.folder / f"{self._stem}-{number}.sqlite"
            lock = _locked(self.file)
            if lock is None:
                continue
            try:
                self.outbox = Outbox(self.file)
            except (BrokenRecordError, NewerRecordError):
                lock.close()
                continue
            self._lock = lock
            return

    def left(self) -> Iterator[Outbox]:
        """The outboxes of the same record that no window holds, each held while it is looked at."""
        for file in sorted(self.folder.glob(f"{self._stem}-*.sqlite")):
            if file == self.file or (lock := _locked(file)) is None:
                continue
            with closing(lock), suppress(BrokenRecordError, NewerRecordError):
                outbox = Outbox(file)
                with closing(outbox):
                    yield outbox

    def others_open(self) -> bool:
        """Whether another window of this record is open on this machine."""
        for file in self.folder.glob(f"{self._stem}-*.sqlite"):
            if file != self.file:
                lock = _locked(file)
                if lock is None:
                    return True
                lock.close()
        return False

    def others_waiting(self) -> int:
        """How many items of this record wait in the other outboxes of this machine; damaged ones too."""
        files = [file for file in self.folder.glob(f"{self._stem}-*.sqlite") if file != self.file]
        return sum(outbox.items + outbox.damaged for outbox in _look(files))

    def close(self) -> None:
        """Close the outbox and give the place back."""
        self.outbox.close()
        self._lock.close()


def waiting(data_folder: Path, on_trouble: OnTrouble | None = None) -> tuple[Waiting, ...]:
    """What waits on this machine, in each outbox that is not empty.

    One that cannot be read is passed over and told to `on_trouble`.
    """
    outboxes = _look(sorted((data_folder / FOLDER).glob("*.sqlite")), on_trouble)
    return tuple(outbox for outbox in outboxes if outbox.items or outbox.damaged)


def screen_code(data_folder: Path) -> str:
    """What tells this machine's data folder from all other screens; it is made where there is none."""
    file = data_folder / FOLDER / "screen"
    with suppress(FileExistsError):
        handle = os.open(file, os.O_WRONLY | os.O_CREAT | os.O_EXCL, 0o600)
        with os.fdopen(handle, "w", encoding="ascii") as new:
            new.write(uuid.uuid4().hex)
    known = file.read_text(encoding="ascii", errors="replace").strip()
    # another window may be at it: then it is told from others by its place, until it is opened next
    return known if len(known) == 32 and known.isalnum() else sha256(bytes(file)).hexdigest()[:32]


def _look(files: Sequence[Path], on_trouble: OnTrouble | None = None) -> Iterator[Waiting]:
    for file in files:
        try:
            with closing(Outbox(file)) as outbox:
                states, place = outbox.states(), outbox.about(PLACE) or "?"
        except RecordError as error:
            if on_trouble is not None:
                on_trouble(error)
            continue
        sides = (file, file.with_name(f"{file.name}-wal"))
        size = sum(side.stat().st_size for side in sides if side.exists())
        yield Waiting(place, states[DRAFT] + states[READY], states[DAMAGED], size, file)


def _locked(file: Path) -> sqlite3.Connection | None:
    """The lock of an outbox, held until it is closed or the program dies; None where another one holds it.

    SQLite's own lock on an empty file, as it is the same on every system.
    """
    path = file.with_suffix(".lock")
    try:
        check_header(path, os.O_RDWR | os.O_CREAT)
    except OSError as error:
        raise RecordError(f"{path}: the outbox could not be opened: {error.strerror}") from error
    lock = sqlite3.connect(path, timeout=0, check_same_thread=False)
    try:
        lock.execute("BEGIN EXCLUSIVE")
    except sqlite3.OperationalError as error:
        lock.close()
        if error.sqlite_errorname == "SQLITE_BUSY":
            return None
        raise sentence_of(str(file), error) from error
    return lock


def _item(number: str, kind: str, pupil: int, content: str, ink: bytes | None) -> Item:
    """An item from its row. Raises ValueError, TypeError or KeyError for a damaged one."""
    parts = json.loads(content)
    row, findings = {**parts["row"], "ink": ink}, parts["findings"]
    if unknown := set(row) - set(KINDS[kind].c.keys()):
        raise ValueError(f"an item must have columns that its table has, not {unknown}")
    if row["pupil"] != pupil or any(set(finding) - _FINDING for finding in findings):
        raise ValueError("an item must be of its pupil, with findings as they are")
    return Item(number, kind, pupil, row, tuple(findings))


def _plain(value: Any) -> object:
    """A number of numpy as Python's."""
    return value.item()
