"""A record goes from a file to a server and back: whole, once, and nobody writes on where it was."""

import shutil
import sqlite3
from contextlib import closing
from pathlib import Path

import psycopg
import pytest

from tests.trainer.samples import MONDAY, attempt
from tests.trainer.whole_record import everything
from trainer.errors import BrokenRecordError, BusyError, MovedRecordError, RecordError
from trainer.record.moving import move
from trainer.record.record import Record


@pytest.fixture
def file(filled_file):
    """A record in a file."""
    return filled_file


@pytest.fixture
def address(server):
    """A database of its own: one that a record was moved away from takes nothing any more."""
    return server.new("strand")


def next_pupil(place):
    """The number that a new pupil gets there."""
    with Record.open(place, now=MONDAY) as record:
        return record.pupils.add(f"Dalia {len(record.pupils.find())}").id


@pytest.mark.server
def test_a_record_goes_to_a_server_and_back_with_all_its_rows_and_numbers(file, address):
    """Nobody writes on where it was, from whichever program."""
    before = everything(file)
    assert move(file, address, rehearse=True).rows["attempt"] == len(before["attempt"])
    assert server_tables(address) == 0
    moved = move(file, address)

    assert everything(address) == before
    assert moved.rows["attempt"] == len(before["attempt"])
    with (
        pytest.raises(MovedRecordError, match=r"was moved to postgresql://.*open it there"),
        Record.open(file),
    ):
        pass
    with Record.open(address, now=MONDAY) as record:
        assert record.pupils.add("Edda").id == 4, "3 was Cosmo's, who is erased"
        record.erasure.remove_pupil(4)

    before = everything(address)
    move(address, file)
    assert everything(file) == before
    assert next_pupil(file) == 5
    with pytest.raises(MovedRecordError, match=r"was moved to .*record\.sqlite"), Record.open(address):
        pass
    with psycopg.connect(address, autocommit=True) as older:
        for change in ("INSERT INTO setting VALUES ('a', 'b')", "DELETE FROM pupil", "TRUNCATE note"):
            with pytest.raises(psycopg.errors.RaiseException, match="this record was moved"):
                older.execute(change)


def server_tables(address):
    """How many tables a database has."""
    with psycopg.connect(address) as connection:
        return connection.execute("SELECT count(*) FROM pg_tables WHERE schemaname = 'public'").fetchone()[0]


def test_a_rehearsal_tells_what_would_go_and_changes_nothing(file, tmp_path):
    content = file.read_bytes()

    assert move(file, tmp_path / "other.sqlite", rehearse=True).rows["pupil"] == 2
    assert [path.name for path in tmp_path.iterdir()] == ["record.sqlite"]
    assert file.read_bytes() == content


def test_a_rehearsal_without_a_folder_is_told(file, tmp_path):
    with pytest.raises(RecordError, match="must be a folder that is there"):
        move(file, tmp_path / "nowhere" / "record.sqlite", rehearse=True)


@pytest.mark.parametrize("which", ["old", "new"])
def test_while_a_screen_has_one_of_the_two_open_nothing_moves(file, tmp_path, which):
    """What the screen writes meanwhile is kept where it was."""
    new = tmp_path / "new.sqlite"
    with Record.open(file if which == "old" else new, now=MONDAY) as screen:
        with pytest.raises(BusyError, match="another window is using the record"):
            move(file, new)
        if which == "old":
            screen.attempts.keep(attempt(1, "c"))
    assert next_pupil(file) == 4


@pytest.mark.server
def test_while_a_screen_is_on_the_server_nothing_moves_there_or_away(file, address, tmp_path):
    with Record.open(address), pytest.raises(BusyError, match="other windows have the record open"):
        move(file, address)
    move(file, address)
    with Record.open(address) as screen:
        with pytest.raises(BusyError, match=r"other windows have the record open \(connections: 1\)"):
            move(address, tmp_path / "new.sqlite")
        screen.attempts.keep(attempt(1, "c"))


def test_a_place_that_has_a_record_is_not_taken(file, tmp_path):
    other = Path(shutil.copy(file, tmp_path / "other.sqlite"))
    before = everything(other)

    for rehearse in (True, False):
        with pytest.raises(RecordError, match="there is a record already"):
            move(file, other, rehearse=rehearse)
    with pytest.raises(RecordError, match="the record is in that place already"):
        move(file, file)
    with pytest.raises(RecordError, match="there is no record here"):
        move(tmp_path / "nowhere.sqlite", other)
    assert everything(other) == before
    assert next_pupil(file) == 4


def test_where_a_record_was_nobody_writes_on_and_nothing_is_moved_from_there(file, tmp_path):
    """An older version that still has it open knows nothing of moves."""
    with closing(sqlite3.connect(file)) as older:
        move(file, tmp_path / "new.sqlite")
        for change in (
            "INSERT INTO setting VALUES ('a', 'b')",
            "DELETE FROM pupil",
            "UPDATE note SET at = ''",
        ):
            with pytest.raises(sqlite3.IntegrityError, match="this record was moved"):
                older.execute(change)
    for place, rehearse in (("new.sqlite", False), ("newer.sqlite", True), ("newer.sqlite", False)):
        with pytest.raises(MovedRecordError, match=r"was moved to .*new\.sqlite"):
            move(file, tmp_path / place, rehearse=rehearse)
    assert next_pupil(tmp_path / "new.sqlite") == 4


@pytest.mark.server
def test_a_row_that_the_server_does_not_take_is_named_and_the_old_record_goes_on(file, address):
    """SQLite keeps whatever is put into a column."""
    with closing(sqlite3.connect(file)) as other, other:
        other.execute("UPDATE attempt SET letter = ? WHERE id = 3", ["b" * 21])

    with pytest.raises(BrokenRecordError, match="attempt 3 is damaged and cannot be copied"):
        move(file, address)
    assert next_pupil(file) == 4
    with (
        pytest.raises(MovedRecordError, match="is being moved here; run that move again"),
        Record.open(address),
    ):
        pass


class CutError(Exception):
    """The move ends here."""


@pytest.mark.parametrize("kind", ["file", pytest.param("server", marks=pytest.mark.server)])
def test_a_move_goes_on_after_the_old_record_changed_meanwhile(file, tmp_path, request, kind):
    """It was cut off while the attempts went over; then a class wrote, and a pupil was erased.

    Another child has that name now, which is free in the new place only once the old row is gone.
    """
    new = request.getfixturevalue("address") if kind == "server" else tmp_path / "new.sqlite"

    def cut(done, total):
        if done > total // 2 - 5:
            raise CutError

    with pytest.raises(CutError):
        move(file, new, progress=cut)
    with Record.open(file, now=MONDAY) as record:
        record.attempts.keep(attempt(1, "c"))
        record.erasure.remove_pupil(2)
        record.pupils.add("Ábel ♥", group="Quay")
    before = everything(file)
    move(file, new)

    assert everything(new) == before
    assert next_pupil(new) == 5


def test_a_place_to_which_another_record_is_on_its_way_is_not_taken(file, tmp_path):
    other, new = Path(shutil.copy(file, tmp_path / "other.sqlite")), tmp_path / "new.sqlite"

    def cut(*_):
        raise CutError

    with pytest.raises(CutError):
        move(other, new, progress=cut)
    with pytest.raises(MovedRecordError, match="a record is being moved here"):
        move(file, new)
    assert next_pupil(file) == 4


HALF = "moving.move(Path({}), Path({}), progress=step)"
SEALED = "moving.unmark = lambda *_: os.kill(os.getpid(), signal.SIGKILL); moving.move(Path({}), Path({}))"


@pytest.mark.parametrize(("code", "last"), [(HALF, 250), (SEALED, 0)])
def test_a_move_that_is_killed_goes_on_when_it_is_run_again(file, tmp_path, mortal, code, last):
    """Killed while rows go over, or between the seal on the old record and the end.

    At most one of the two has the class then. Steps in all parts of the work were tried by hand, between both
    kinds of databases: `tests/README.md`.
    """
    before, new, whole = everything(file), tmp_path / "new.sqlite", 0
    assert mortal.run(code.format(repr(str(file)), repr(str(new))), last) == "killed"
    for place in (file, new):
        try:
            with Record.open(place, now=MONDAY) as record:
                whole += bool(record.pupils.find())
        except MovedRecordError:
            continue

    assert whole < 2
    move(file, new)
    assert everything(new) == before
