"""A record is looked through whole: what is wrong is named, and mended only where nothing is guessed."""

import sqlite3
from contextlib import closing

import pytest

from tests.trainer.samples import MONDAY
from tests.trainer.whole_record import everything, fill
from trainer.errors import BrokenRecordError, RecordError
from trainer.record.inspection import Trouble, check, mend
from trainer.record.record import Record


@pytest.fixture
def file(tmp_path):
    file = tmp_path / "record.sqlite"
    fill(file)
    return file


def spoil(file, change, *values):
    with closing(sqlite3.connect(file)) as other, other:
        other.execute(change, values)


def test_a_record_without_faults_has_none_and_stays_as_it_is(place):
    fill(place)
    before = everything(place)
    steps = []

    assert check(place, progress=lambda *done: steps.append(done)) == ()
    assert steps[-1] == (14, 14)
    assert everything(place) == before


FAULTS = [
    ("UPDATE attempt SET ink = x'00' WHERE id = 5", Trouble.INK, "attempt 5", True),
    ("UPDATE tally SET formed = 99 WHERE letter = 'b' AND day = ''", Trouble.COUNTS, "tally: 2", True),
    ("DELETE FROM tally_so_far WHERE letter = 'b'", Trouble.COUNTS, "tally_so_far: 12", True),
    ("INSERT INTO note VALUES (9, 77, '2026-09-07T11:30:00.000000Z', 'x')", Trouble.LOST, "note: 1", True),
    ("UPDATE attempt SET formation = NULL WHERE id = 6", Trouble.ATTEMPT, "", False),
    ("UPDATE note SET at = 'today'", Trouble.VALUE, "note 1", False),
    ("UPDATE note SET said = x'00'", Trouble.VALUE, "note 1", False),
    ("UPDATE setting SET value = replace(hex(zeroblob(150)), '0', 'a')", Trouble.VALUE, "setting", False),
    ("UPDATE pupil SET card = 'the boat' WHERE id = 2", Trouble.VALUE, "pupil 2", False),
]


@pytest.mark.parametrize(("change", "trouble", "where", "mendable"), FAULTS)
def test_a_fault_is_named_and_mended_where_nothing_is_guessed(
    file, tmp_path, change, trouble, where, mendable
):
    spoil(file, change)
    spoilt, copy = everything(file), tmp_path / "before.sqlite"
    faults = check(file)

    assert {(fault.trouble, fault.mendable) for fault in faults} == {(trouble, mendable)}
    assert any(fault.where.startswith(where) for fault in faults)
    assert everything(file) == spoilt
    mend(file, faults, copy)
    assert [fault.trouble for fault in check(file)] == ([] if mendable else [trouble] * len(faults))
    assert everything(copy) == spoilt


def test_ink_that_nobody_can_read_is_taken_out_and_its_verdict_stays(file, tmp_path):
    with Record.open(file, now=MONDAY) as record:
        before = record.attempts.get(5)
    spoil(file, "UPDATE attempt SET ink = x'00' WHERE id = 5")
    mend(file, check(file), tmp_path / "before.sqlite")

    with Record.open(file, now=MONDAY) as record:
        after = record.attempts.get(5)
    assert (after.verdict, after.unreadable, len(after.ink)) == (before.verdict, "", 0)


def test_an_index_that_lacks_a_row_is_built_anew(file, tmp_path):

    with closing(sqlite3.connect(file)) as other:
        other.execute("PRAGMA writable_schema = ON")
        index = "SELECT sql FROM sqlite_master WHERE name = 'note_of_pupil'"
        (statement,) = other.execute(index).fetchone()
        other.execute(
            "UPDATE sqlite_master SET sql = ? WHERE name = 'note_of_pupil'", [f"{statement} WHERE 0"]
        )
        other.commit()
    spoil(file, "INSERT INTO note VALUES (9, 1, '2026-09-07T11:30:00.000000Z', 'presses hard')")
    with closing(sqlite3.connect(file)) as other:
        other.execute("PRAGMA writable_schema = ON")
        other.execute("UPDATE sqlite_master SET sql = ? WHERE name = 'note_of_pupil'", [statement])
        other.commit()

    faults = check(file)
    assert {(fault.trouble, fault.mendable) for fault in faults} == {(Trouble.FILE, True)}
    mend(file, faults, tmp_path / "before.sqlite")
    assert check(file) == ()


def test_a_file_that_is_damaged_or_not_there_is_told(file, tmp_path):
    file.write_bytes(file.read_bytes()[:9000])

    with pytest.raises(BrokenRecordError, match="damaged"):
        check(file)
    with pytest.raises(RecordError, match="there is no record here"):
        check(tmp_path / "nowhere.sqlite")
    assert not (tmp_path / "nowhere.sqlite").exists()
