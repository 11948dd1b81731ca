"""`trainer doctor` says what a helper needs, whatever state the machine is in, and nothing about a child."""

import sqlite3
from contextlib import closing
from pathlib import Path

import pytest

from tests.trainer.whole_record import fill
from trainer.commands.cli import main
from trainer.language.texts import text
from trainer.log import keeping_log
from trainer.places import RECORD
from trainer.record.migrations import MIGRATIONS
from trainer.record.moving import move


@pytest.fixture
def said(capsys, tmp_path):
    """What it says over the record in a folder."""

    def run():
        assert main(["doctor", "--data", str(tmp_path)]) == 0
        return capsys.readouterr().out

    return run


@pytest.mark.usefixtures("filled_file")
def test_versions_the_screen_the_record_and_the_log_are_told_and_no_child(said, tmp_path, monkeypatch):
    monkeypatch.setattr(Path, "home", lambda: tmp_path)
    with keeping_log(tmp_path, "practice"):
        pass
    lines = said()

    for part in ("Python 3.", "numpy ", "SDL 2.", "driver dummy", "px to the millimeter"):
        assert part in lines
    assert text("record.doctor.sound") in lines
    assert text("record.doctor.steps", count=len(MIGRATIONS), last=MIGRATIONS[-1].name) in lines
    assert f"The record: ~/{RECORD}, SQLite 3." in lines
    assert "trainer: it begins" in lines
    assert not [name for name in ("Nella", "Ábel", "Quay", "holds the pen", str(tmp_path)) if name in lines]


def test_a_record_that_is_missing_moved_or_damaged_is_told(said, tmp_path):
    assert "there is no record here" in said()
    fill(tmp_path / RECORD)
    move(tmp_path / RECORD, tmp_path / "new.sqlite")
    assert "the last one: moved elsewhere" in said()
    (tmp_path / RECORD).write_bytes((tmp_path / "new.sqlite").read_bytes())
    with closing(sqlite3.connect(tmp_path / RECORD)) as other, other:
        other.execute("PRAGMA writable_schema = ON")
        other.execute("UPDATE sqlite_master SET sql = sql || ' WHERE 0' WHERE name = 'note_of_pupil'")
    assert "The file itself: wrong # of entries in index note_of_pupil" in said()
    (tmp_path / RECORD).write_text("Dear parents")
    assert "is not a record of this program" in said()


def test_without_a_screen_the_rest_is_told(said, monkeypatch):
    monkeypatch.setenv("SDL_VIDEODRIVER", "offscreen")

    lines = said()
    assert "There is no screen to open a window on" in lines
    assert "Python 3." in lines
