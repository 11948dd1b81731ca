"""`trainer record` as it is typed: what it says, what it asks, and its exit codes."""

import re
import sqlite3
from contextlib import closing

import pytest

from tests.trainer.samples import MONDAY
from tests.trainer.whole_record import everything
from trainer.commands.cli import main
from trainer.language.texts import text
from trainer.places import RECORD
from trainer.record.record import Record


@pytest.fixture
def run(capsys, filled_file):
    """Types `trainer record …` over a record with pupils; gives back the exit code and what was said."""

    def typed(*words):
        code = main(["record", *map(str, words), "--data", str(filled_file.parent)])
        said = capsys.readouterr()
        return code, said.out, said.err

    return typed


def test_a_sound_record_is_told_and_a_fault_is_one_line(run, tmp_path):
    assert run("check") == (0, f"{text('record.check.good')}\n", "")
    with closing(sqlite3.connect(tmp_path / RECORD)) as other, other:
        other.execute("UPDATE attempt SET ink = x'00' WHERE id = 5")
        other.execute("UPDATE note SET at = 'today'")

    code, said, _ = run("check")
    assert code == 1
    assert re.search(r"The ink of attempt 5 cannot be read: .*\(--mend mends it\)", said)
    assert re.search(r"in note 1: at\. \(it cannot be mended here\)", said)
    assert text("record.check.how") in said
    code, said, _ = run("check", "--mend")
    assert code == 1
    assert text("record.check.left", count=1) in said
    assert len(list(tmp_path.glob("record-before-mending-*.sqlite"))) == 1


def test_a_backup_is_rehearsed_made_and_put_back(run, tmp_path):
    copy = tmp_path / "copy.sqlite"
    assert "would need" in run("backup", copy, "--dry-run")[1]
    assert not copy.exists()
    assert run("backup", copy)[0] == 0
    before = everything(tmp_path / RECORD)
    with Record.open(tmp_path / RECORD, now=MONDAY) as record:
        record.pupils.add("Edda")
    changed = everything(tmp_path / RECORD)

    code, said, _ = run("restore", copy, "--dry-run")
    assert (code, everything(tmp_path / RECORD)) == (0, changed)
    assert "Pupils: 2. Attempts: 14." in said
    code, _, complaint = run("restore", copy)
    assert (code, everything(tmp_path / RECORD)) == (2, changed)
    assert "add --yes" in complaint
    code, said, _ = run("restore", copy, "--yes")
    assert (code, everything(tmp_path / RECORD)) == (0, before)
    assert "The record that was there is in" in said


def test_daily_backups_say_what_they_erased(run, tmp_path):
    folder = tmp_path / "backups"
    folder.mkdir()
    (folder / "record-2020-01-02.sqlite").touch()

    code, said, _ = run("backup", folder, "--daily", "1")
    assert code == 0
    assert "record-2020-01-02.sqlite" in said.splitlines()[-1]
    assert len(list(folder.iterdir())) == 1
    assert run("backup", folder, "--daily", "0")[0] == 2


def test_a_record_is_moved_and_the_old_place_says_where(run, tmp_path):
    new = tmp_path / "new" / "record.sqlite"
    new.parent.mkdir()
    assert "could be moved" in run("move", "--to", new, "--dry-run")[1]
    assert not new.exists()
    assert run("move", "--to", new)[0] == 0
    for words in (["move", "--to", new], ["check"], ["backup", tmp_path / "copy.sqlite"]):
        code, _, complaint = run(*words)
        assert code == 1
        assert complaint.count("\n") == 1
        assert f"was moved to {new}; open it there" in complaint


def test_a_record_moves_only_to_a_file_that_a_window_can_open(run, tmp_path):
    """A folder is named to open one: in a file of another name nobody could open it any more."""
    code, _, complaint = run("move", "--to", tmp_path / "new.sqlite")

    assert code == 2
    assert "--to must be an address, or a file that is named record.sqlite" in complaint
    assert not (tmp_path / "new.sqlite").exists()
    assert run("check")[0] == 0

    (tmp_path / "new").mkdir()
    code, said, _ = run("move", "--to", tmp_path / "new" / "record.sqlite")
    assert (code, f"open it with --data {tmp_path / 'new'}" in said) == (0, True)
    with Record.open(tmp_path / "new" / RECORD) as moved:
        assert moved.pupils.find()
