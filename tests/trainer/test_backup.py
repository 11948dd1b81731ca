"""Backups: made beside writers, looked through, put back; whatever is not whole counts for nothing."""

import os
import shutil
import sqlite3
from contextlib import closing
from datetime import timedelta
from pathlib import Path

import pytest

from tests.trainer.samples import MONDAY, attempt
from tests.trainer.whole_record import everything, fill
from trainer.attempt import Step
from trainer.errors import (
    BrokenRecordError,
    BusyError,
    DiskFullError,
    NewerRecordError,
    PlaceError,
    RecordError,
)
from trainer.record.backup import back_up, back_up_daily, look_into, restore
from trainer.record.moving import move
from trainer.record.record import Record


@pytest.fixture
def filled(place):
    """A record with something in every kind of table."""
    fill(place)
    return place


@pytest.fixture
def file(filled_file):
    """The same in a file."""
    return filled_file


def names(folder):
    return sorted(path.name for path in folder.iterdir())


def test_a_backup_holds_one_moment_of_all_and_only_its_owner_may_read_it(filled, tmp_path):
    """What a screen writes between two steps of the copy is in the record, and not in the backup."""
    with Record.open(filled, now=MONDAY) as screen:
        before = everything(filled)

        def write(*_):
            screen.attempts.keep_draft(1, "k", Step.COPY, attempt(1, "k").ink)

        made = back_up(filled, tmp_path / "copy.sqlite", now=MONDAY, progress=write)
        assert everything(tmp_path / "copy.sqlite") == before
        assert everything(filled) != before
        assert screen.upkeep.last_backup == made
        screen.settings.set("last backup", "yesterday")
        assert screen.upkeep.last_backup is None
    assert made.size == (tmp_path / "copy.sqlite").stat().st_size
    assert (tmp_path / "copy.sqlite").stat().st_mode & 0o077 == 0 or os.name != "posix"
    assert not [name for name in names(tmp_path) if ".part" in name]


def test_a_file_that_is_there_is_not_written_over(file, tmp_path):
    (tmp_path / "letter.txt").write_text("Dear parents")

    with pytest.raises(RecordError, match="is there already; choose another name"):
        back_up(file, tmp_path / "letter.txt", now=MONDAY)
    with pytest.raises(RecordError, match="is there already"):
        back_up(file, file, now=MONDAY)
    with pytest.raises(PlaceError, match="it cannot be used: No such file"):
        back_up(file, tmp_path / "nowhere" / "copy.sqlite", now=MONDAY)
    with pytest.raises(RecordError, match="there is no record here"):
        back_up(tmp_path / "none.sqlite", tmp_path / "copy.sqlite", now=MONDAY)
    assert (tmp_path / "letter.txt").read_text() == "Dear parents"
    assert names(tmp_path) == ["letter.txt", "record.sqlite"]


def test_daily_backups_keep_the_last_days_and_nothing_else_is_erased(file, tmp_path):
    folder = tmp_path / "backups"
    for day in (0, 0, 1, 2, 3):
        _, erased = back_up_daily(file, folder, 2, now=MONDAY + timedelta(days=day))
        (folder / "record-by-hand.sqlite").touch()

    assert [path.name for path in erased] == ["record-2026-09-08.sqlite"]
    assert names(folder) == ["record-2026-09-09.sqlite", "record-2026-09-10.sqlite", "record-by-hand.sqlite"]


def test_a_damaged_record_gives_no_backup(file, tmp_path):
    content = bytearray(file.read_bytes())
    content[-4096 * 3 : -4096] = bytes(4096 * 2)
    file.write_bytes(bytes(content))

    with pytest.raises(BrokenRecordError, match="damaged"):
        back_up(file, tmp_path / "copy.sqlite", now=MONDAY)
    assert not [name for name in names(tmp_path) if name.startswith("copy")]


# Put back


def test_a_backup_takes_the_place_of_the_record_and_no_number_is_given_again(filled, tmp_path):
    """An old page or window may still mean what was added later; while one is open, nothing is done."""
    before = everything(filled)
    back_up(filled, tmp_path / "copy.sqlite", now=MONDAY)
    with Record.open(filled, now=MONDAY) as screen:
        later = screen.pupils.add("Edda").id
        note = screen.notes.add(later, "presses hard").id
        with pytest.raises(BusyError, match="close"):
            restore(tmp_path / "copy.sqlite", filled, tmp_path, now=MONDAY)
        assert screen.attempts.keep(attempt(later, "b")).id
    changed = everything(filled)

    aside = restore(tmp_path / "copy.sqlite", filled, tmp_path, now=MONDAY)

    assert everything(filled) == before
    assert everything(aside) == changed
    with Record.open(filled, now=MONDAY) as record:
        assert record.pupils.add("Fenn").id > later
        assert record.notes.add(1, "presses less").id > note
    assert not [name for name in names(tmp_path) if ".part" in name]


def test_a_backup_can_be_put_where_none_is(file, tmp_path):
    new = tmp_path / "new.sqlite"

    assert restore(file, new, tmp_path, now=MONDAY) is None
    assert everything(new) == everything(file)


def test_a_damaged_record_gives_way_to_a_backup_and_stays_beside_it(file, tmp_path):
    back_up(file, tmp_path / "copy.sqlite", now=MONDAY)
    for content in (b"Dear parents,\n", file.read_bytes()[:5000]):
        file.write_bytes(content)
        moment = MONDAY + timedelta(seconds=len(content))

        aside = restore(tmp_path / "copy.sqlite", file, tmp_path, now=moment)

        assert aside.read_bytes() == content
        assert everything(file) == everything(tmp_path / "copy.sqlite")


def test_a_record_that_was_moved_away_can_be_put_back_when_the_server_is_lost(file, tmp_path):
    before = everything(file)
    move(file, tmp_path / "lost.sqlite")
    restore(file, tmp_path / "again.sqlite", tmp_path, now=MONDAY)

    assert everything(tmp_path / "again.sqlite") == before
    with Record.open(tmp_path / "again.sqlite", now=MONDAY) as record:
        record.pupils.add("Edda")


def no_backup(file: Path) -> None:
    file.write_bytes(b"Dear parents,\n")


def nothing(file: Path) -> None:
    file.write_bytes(b"")


def no_tables(file: Path) -> None:
    with closing(sqlite3.connect(file)) as other:
        other.execute("CREATE TABLE recipe (name TEXT)")
        other.execute("DROP TABLE recipe")


def other_tables(file: Path) -> None:
    with closing(sqlite3.connect(file)) as other:
        other.execute("CREATE TABLE recipe (name TEXT)")


def newer(file: Path) -> None:
    shutil.copy(file.with_name("record.sqlite"), file)
    with closing(sqlite3.connect(file)) as other, other:
        other.execute("INSERT INTO migration VALUES ('a step of next year', '2031-01-01T00:00:00.000000Z')")


def cut_short(file: Path) -> None:
    file.write_bytes(file.with_name("record.sqlite").read_bytes()[:-9000])


def pipe(file: Path) -> None:
    os.mkfifo(file)


@pytest.mark.parametrize(
    ("make", "error", "words"),
    [
        (no_backup, BrokenRecordError, "is not a record of this program"),
        (nothing, BrokenRecordError, "is not a record of this program"),
        (no_tables, BrokenRecordError, "no record of this program"),
        (other_tables, BrokenRecordError, "not a record of this program"),
        (newer, NewerRecordError, "newer version"),
        (cut_short, BrokenRecordError, "damaged"),
        (Path.mkdir, RecordError, "must be a file"),
        pytest.param(
            *(pipe, RecordError, "must be a file"),
            marks=pytest.mark.skipif(not hasattr(os, "mkfifo"), reason="pipes in folders are of POSIX"),
        ),
        (lambda _: None, PlaceError, "No such file"),
    ],
)
def test_what_is_no_backup_changes_nothing(file, tmp_path, make, error, words):
    copy = tmp_path / "copy.sqlite"
    make(copy)
    before = everything(file), names(tmp_path)
    with pytest.raises(error, match=words) as raised:
        restore(copy, file, tmp_path, now=MONDAY)
    assert str(copy) in str(raised.value)
    assert (everything(file), names(tmp_path)) == before


def test_the_record_is_no_backup_of_itself(file, tmp_path):
    with pytest.raises(RecordError, match="is the record itself"):
        restore(file, tmp_path / "." / "record.sqlite", tmp_path, now=MONDAY)


def test_what_a_backup_holds_is_told(file, tmp_path):
    holds = look_into(file, tmp_path)

    assert (holds.pupils, holds.attempts) == (2, 14)
    assert holds.last is not None


# Killed, and a full disk


def test_a_backup_and_a_restore_that_are_killed_cost_nothing(file, tmp_path, mortal):
    """The record is what it was or what the backup is; the same again then does it."""
    copy = tmp_path / "copy.sqlite"
    back_up(file, copy, now=MONDAY)
    with Record.open(file, now=MONDAY) as record:
        record.pupils.add("Edda")
    before, then = everything(file), everything(copy)
    making = f"backup.back_up(Path({str(file)!r}), Path('{tmp_path}/new.sqlite'), now=now, progress=step)"
    putting = (
        f"backup.restore(Path({str(copy)!r}), Path({str(file)!r}), Path({str(tmp_path)!r}),"
        " now=now, progress=step)"
    )
    for code in (making, putting):
        for last in (9, 50, 400):
            if mortal.run(code, last) != "killed":
                break
            assert everything(file) in (before, then)
            if code is making:
                (tmp_path / "new.sqlite").unlink(missing_ok=True)
        else:
            pytest.fail("it was always killed")
    assert not [name for name in names(tmp_path) if ".part" in name]
    assert everything(tmp_path / "new.sqlite") == before
    assert everything(file) == then


def test_on_a_full_disk_there_is_no_half_backup_and_the_record_stays(file, small_disk):
    small = small_disk("400k")
    copy = Path(shutil.copy(file, small / "record.sqlite"))
    before = everything(copy)
    (small / "photographs").write_bytes(bytes(shutil.disk_usage(small).free - 50_000))
    for attempted in (
        lambda: back_up(copy, small / "new.sqlite", now=MONDAY),
        lambda: restore(file, copy, small, now=MONDAY),
        lambda: move(copy, small / "moved.sqlite"),
    ):
        with pytest.raises(DiskFullError, match="the disk is full"):
            attempted()
        assert everything(copy) == before
    (small / "photographs").unlink()
    with Record.open(copy, now=MONDAY) as record:
        assert record.attempts.keep(attempt(1, "b")).id
