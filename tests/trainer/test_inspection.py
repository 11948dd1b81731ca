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
def file(filled_file):
    """A record in a file."""
    return filled_file


def spoil(file, change, *values):
    with closing(sqlite3.connect(file)) as other, other:
        other.execute(change, values)


def test_a_record_without_faults_has_none_and_stays_as_it_is(place):
    fill(place)
    before = everything(place)
    steps = []

    assert check(place, progress=lambda *done: steps.append(done)) == ()
    assert steps[-1][0] == steps[-1][1] >= 14
    assert everything(place) == before


MENDABLE = {
    "UPDATE attempt SET ink = x'00' WHERE id = 5": (Trouble.INK, "attempt 5"),
    "UPDATE tally SET formed = 99 WHERE letter = 'b' AND day = ''": (Trouble.COUNTS, "tally: 2"),
    "DELETE FROM tally_so_far WHERE letter = 'b'": (Trouble.COUNTS, "tally_so_far: 12"),
    "INSERT INTO note VALUES (9, 77, '2026-09-07T11:30:00.000000Z', 'x')": (Trouble.LOST, "note: 1"),
}
OTHERS = {
    "UPDATE attempt SET formation = NULL WHERE id = 6": (Trouble.ATTEMPT, ""),
    "INSERT INTO observation VALUES (2, 1, 'b', '2026-09-07', 'smudged')": (Trouble.ATTEMPT, ""),
    "UPDATE note SET at = 'today' WHERE id = 1": (Trouble.VALUE, "note 1"),
    "INSERT INTO note VALUES (2, 1, '2026-09-07T11:30:00.000000Z', x'00')": (Trouble.VALUE, "note 2"),
    "INSERT INTO setting VALUES ('long', replace(hex(zeroblob(150)), '0', 'a'))": (
        *(Trouble.VALUE, "setting long"),
    ),
    "UPDATE pupil SET card = 'the boat' WHERE id = 2": (Trouble.VALUE, "pupil 2"),
}


def test_faults_are_named_and_mended_where_nothing_is_guessed(file, tmp_path):
    for change in (*MENDABLE, *OTHERS):
        spoil(file, change)
    spoilt, copy = everything(file), tmp_path / "before.sqlite"
    faults = check(file)

    for which, mendable in ((MENDABLE, True), (OTHERS, False)):
        named = {(fault.trouble, fault.where) for fault in faults if fault.mendable is mendable}
        assert named == set(which.values())
    assert everything(file) == spoilt
    mend(file, faults, copy)
    assert {(fault.trouble, fault.where) for fault in check(file)} == set(OTHERS.values())
    assert everything(copy) == spoilt


def test_ink_that_nobody_can_read_is_taken_out_and_its_verdict_stays(file, tmp_path):
    with Record.open(file, now=MONDAY) as record:
        before = record.attempts.get(5)
    spoil(file, next(iter(MENDABLE)))
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
