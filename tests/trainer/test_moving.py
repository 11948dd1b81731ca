"""A record goes from a file to a server and back: whole, once, and nobody writes on where it was."""

import sqlite3
from contextlib import closing

import psycopg
import pytest

from tests.trainer.deaths import needs_fork, workers
from tests.trainer.samples import MONDAY, attempt
from tests.trainer.whole_record import everything, fill
from trainer.errors import BrokenRecordError, BusyError, MovedRecordError, RecordError
from trainer.record.moving import move
from trainer.record.record import Record


@pytest.fixture
def file(tmp_path):
    """A record in a file."""
    file = tmp_path / "record.sqlite"
    fill(file)
    return file


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
    before = everything(file)
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


@pytest.mark.server
def test_a_rehearsal_tells_what_would_go_and_changes_nothing(file, server, address, tmp_path):
    content = file.read_bytes()

    assert move(file, address, rehearse=True).rows["pupil"] == 2
    assert server.run("SELECT 1 FROM pg_tables WHERE schemaname = 'public'", database="strand") == []
    move(file, tmp_path / "other.sqlite", rehearse=True)
    assert [path.name for path in tmp_path.iterdir()] == ["record.sqlite"]
    assert file.read_bytes() == content


def test_a_rehearsal_without_a_folder_is_told(file, tmp_path):
    with pytest.raises(RecordError, match="must be a folder that is there"):
        move(file, tmp_path / "nowhere" / "record.sqlite", rehearse=True)


def test_nobody_writes_on_where_a_record_was_from_whichever_program(file, tmp_path):
    """An older version that still has it open knows nothing of moves."""
    with closing(sqlite3.connect(file)) as older:
        move(file, tmp_path / "new.sqlite")
        for change in (
            "INSERT INTO setting VALUES ('a', 'b')",
            "DELETE FROM pupil",
            "UPDATE attempt SET day = ''",
        ):
            with pytest.raises(sqlite3.IntegrityError, match="this record was moved"):
                older.execute(change)


@pytest.mark.server
def test_nobody_writes_on_at_the_server_where_a_record_was(file, address, tmp_path):
    move(file, address)
    move(address, tmp_path / "new.sqlite")
    with psycopg.connect(address, autocommit=True) as older:
        for change in ("INSERT INTO setting VALUES ('a', 'b')", "DELETE FROM pupil", "TRUNCATE note"):
            with pytest.raises(psycopg.errors.RaiseException, match="this record was moved"):
                older.execute(change)


@pytest.mark.parametrize("which", ["old", "new"])
def test_while_a_screen_has_one_of_the_two_open_nothing_moves(file, tmp_path, which):
    """What the screen writes meanwhile is kept where it was."""
    new = tmp_path / "new.sqlite"
    with Record.open(file if which == "old" else new, now=MONDAY) as screen:
        with pytest.raises(BusyError, match="another window is using the record"):
            move(file, new)
        if which == "old":
            screen.attempts.keep(attempt(1, "c"))
    before = everything(file)
    move(file, new)

    assert everything(new) == before


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
    other = tmp_path / "other.sqlite"
    fill(other)
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


def test_a_record_that_went_is_not_moved_on_from_where_it_was(file, tmp_path):
    move(file, tmp_path / "new.sqlite")
    for place in ("new.sqlite", "newer.sqlite"):
        for rehearse in (True, False):
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
    """It was cut off while the attempts went over; then a class wrote, and a pupil was erased."""
    new = request.getfixturevalue("address") if kind == "server" else tmp_path / "new.sqlite"

    def cut(done, total):
        if done > total // 2 - 5:
            raise CutError

    with pytest.raises(CutError):
        move(file, new, progress=cut)
    with Record.open(file, now=MONDAY) as record:
        record.attempts.keep(attempt(1, "c"))
        record.pupils.add("Edda")
        record.erasure.remove_pupil(2)
    before = everything(file)
    move(file, new)

    assert everything(new) == before
    assert next_pupil(new) == 5


def test_a_place_to_which_another_record_is_on_its_way_is_not_taken(file, tmp_path):
    other, new = tmp_path / "other.sqlite", tmp_path / "new.sqlite"
    fill(other)

    def cut(*_):
        raise CutError

    with pytest.raises(CutError):
        move(other, new, progress=cut)
    with pytest.raises(MovedRecordError, match="a record is being moved here"):
        move(file, new)
    assert next_pupil(file) == 4


@needs_fork
def test_a_move_that_is_killed_anywhere_goes_on_when_it_is_run_again(file, tmp_path):
    """At every moment at most one of the two has the class; in the end the new one has everything.

    Every single step was tried once by hand, on both kinds of databases; here a few in each part of the work.
    """
    before = everything(file)

    def code(number):
        return (
            f"moving.move(Path({str(file)!r}), Path({str(tmp_path / f'{number}.sqlite')!r}), progress=step)"
        )

    with workers() as process:
        for name in ("first", "whole"):  # the first time, the record gets an identity besides
            steps = int(process.run(code(name)))
            move(tmp_path / f"{name}.sqlite", file)
        for last in (steps // 4, steps // 2, steps - 20, steps):
            assert process.run(code(last), last) == "killed"
            new, whole = tmp_path / f"{last}.sqlite", 0
            for place in (file, new):
                try:
                    with Record.open(place, now=MONDAY) as record:
                        whole += bool(record.pupils.find())
                except MovedRecordError:
                    continue
            assert whole < 2
            move(file, new)
            assert everything(new) == before
            move(new, file)
