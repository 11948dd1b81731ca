"""What a screen writes while its record is on a server: at once here, and there exactly once."""

import os
import sqlite3
import stat
from contextlib import closing
from datetime import timedelta

import pytest

from strokes.kinds import Kind, WordKind
from strokes.report import WordFinding
from strokes.simulation.hand import write
from tests.faults.proxy import Proxy
from tests.trainer.samples import MONDAY, attempt, ink
from tests.trainer.sessions import ALPHABET
from tests.trainer.test_practice import Child
from tests.waiting import HANG, until
from trainer.attempt import InWord, Step, WordPart, WordTry
from trainer.commands.cli import main
from trainer.commands.options import Location
from trainer.errors import DiskFullError, PupilError, RecordError
from trainer.language import text
from trainer.practice.opening import open_window
from trainer.practice.scenes.answer import Answer
from trainer.practice.scenes.writing import Writing
from trainer.record import backup, postgresql, tables
from trainer.record.deliveries import Item, ScreenState
from trainer.record.marks import give_identity
from trainer.record.outbox import ScreenRecord, file, sender, waiting
from trainer.record.outbox.file import Outbox, Slot
from trainer.record.record import Record

HERE = ScreenState("0" * 32, "window by the door")


def item(pupil, number=1, kind="attempt", **changed):
    """An attempt on its way, as an outbox has it."""
    row = {
        **{"pupil": pupil, "letter": "b", "step": "copy", "at": f"2026-09-07T11:30:00.{number:06d}Z"},
        **{"day": "2026-09-07", "finished": True, "formation": "taught", "formed": True, "looks": True},
        **{"mended": False, "checks": "today", "word": None, "word_place": None, "ink": None},
    }
    return Item(f"{number:032d}", kind, pupil, row | changed)


# The record takes what is delivered


def test_what_comes_again_is_kept_once_and_counted_once(record):
    nella = record.pupils.add("Nella")
    for _ in range(3):
        taken = record.deliveries.take([item(nella.id, 1), item(nella.id, 2)], HERE)

    assert len(list(record.attempts.find())) == 2
    assert not taken.erased
    with record.database.reading() as connection:
        tries = connection.execute(
            tables.counter.select().where(
                tables.counter.c.day == "2026-09-07", tables.counter.c.letter == "b"
            )
        ).one()
    assert tries.tries == 2


def test_what_an_erased_child_wrote_is_left_out_and_named(record):
    nella, bo = record.pupils.add("Nella"), record.pupils.add("Bo")
    record.erasure.remove_pupil(nella.id)

    taken = record.deliveries.take([item(nella.id, 1), item(bo.id, 2)], HERE)

    assert taken.erased == {nella.id}
    assert [attempt.pupil for attempt in record.attempts.find()] == [bo.id]


def test_a_damaged_item_costs_only_itself(record):
    nella = record.pupils.add("Nella")

    taken = record.deliveries.take(
        [item(nella.id, 1), item(nella.id, 2, letter=None), item(nella.id, 3)], HERE
    )

    assert taken.damaged == {f"{2:032d}"}
    assert len(list(record.attempts.find())) == 2


def test_a_record_says_how_each_screen_was_and_since_when_it_is_silent(record):
    record.deliveries.take([], HERE)
    record.deliveries.take([], ScreenState("1" * 32, "Back corner", waiting=3, open=False, little_room=True))
    record.deliveries.take([], ScreenState(HERE.code, HERE.name, waiting=2))

    back, door = record.screens.find()

    assert (back.state.name, back.state.waiting, back.state.open, back.state.little_room) == (
        *("Back corner", 3, False),
        True,
    )
    assert door.state.waiting == 2
    assert timedelta(0) <= door.silent < timedelta(hours=1)
    record.screens.forget(door.state.code)
    assert [screen.state for screen in record.screens.find()] == [back.state]


def test_a_screen_that_was_closed_for_a_term_is_forgotten_unless_something_waits_on_it(record):
    record.deliveries.take([], ScreenState("1" * 32, "left long ago", open=False))
    record.deliveries.take([], ScreenState("2" * 32, "left, and something waits", waiting=1, open=False))
    record.deliveries.take([], ScreenState("3" * 32, "silent", open=True))
    with record.database.writing() as connection:
        connection.execute(tables.screen.update().values(heard="2020-01-01T00:00:00.000000Z"))

    record.deliveries.take([], HERE)

    names = [screen.state.name for screen in record.screens.find()]
    assert names == ["left, and something waits", "silent", "window by the door"]


# The file


def test_an_outbox_is_for_its_owner_alone_and_for_one_window(tmp_path):
    first, second = Slot(tmp_path, "a record"), Slot(tmp_path, "a record")
    other = Slot(tmp_path, "another record")

    assert len({first.file, second.file, other.file}) == 3
    for slot in (first, second, other):
        slot.outbox.keep(item(1))
    assert first.others_open()
    assert not other.others_open()
    second.close()
    again = Slot(tmp_path, "a record")
    assert again.file == second.file
    assert again.others_waiting() == 1
    if os.name == "posix":
        modes = {path.name: stat.S_IMODE(path.stat().st_mode) for path in file_folder(tmp_path).iterdir()}
        assert set(modes.values()) == {0o600}, modes
        assert stat.S_IMODE(file_folder(tmp_path).stat().st_mode) == 0o700
    for slot in (first, other, again):
        slot.close()


def file_folder(data):
    return data / file.FOLDER


def test_what_lies_in_an_outbox_comes_out_as_it_went_in_and_oldest_first(tmp_path):
    with closing(Outbox(tmp_path / "outbox.sqlite")) as outbox:
        outbox.keep(item(1, 1, ink=b"ink"), draft=True)
        outbox.keep(item(2, 2))
        assert [each.pupil for each in outbox.batch(10)] == [2]

        outbox.keep(item(1, 1, ink=b"more ink"))

        assert outbox.batch(10) == (item(1, 1, ink=b"more ink"), item(2, 2))
        assert len(outbox.batch(1)) == 1


def test_an_item_that_cannot_be_read_is_set_aside(tmp_path):
    with closing(Outbox(tmp_path / "outbox.sqlite")) as outbox:
        outbox.keep(item(1, 1))
        outbox.keep(item(1, 2))
        with closing(sqlite3.connect(outbox.file)) as plain, plain:
            plain.execute("UPDATE item SET content = '{' WHERE number = 1")

        assert [each.id for each in outbox.batch(10)] == [f"{2:032d}"]
        assert outbox.states() == {file.READY: 1, file.DAMAGED: 1}


@pytest.mark.parametrize("of", ["a newer version", "something else"])
def test_an_outbox_that_cannot_be_used_is_left_as_it_is_and_told_and_passed_over(tmp_path, capsys, of):
    slot = Slot(tmp_path, "a record")
    slot.close()
    if of == "something else":
        slot.file.write_text("Dear parents")
    else:
        with closing(sqlite3.connect(slot.file)) as plain, plain:
            plain.execute("PRAGMA user_version = 99")
    content = slot.file.read_bytes()

    with closing(Slot(tmp_path, "a record")) as next_one:
        assert next_one.file != slot.file
        assert not list(next_one.left())
        assert next_one.others_waiting() == 0
    assert slot.file.read_bytes() == content
    main(["doctor", "--data", str(tmp_path)])
    said = capsys.readouterr().out
    assert "was written by a newer version" in said or "is not a record of this program" in said


def test_nothing_of_an_erased_child_stays_in_the_files(tmp_path):
    with closing(Outbox(tmp_path / "outbox.sqlite")) as outbox:
        for number in range(20):
            outbox.keep(item(7, number, ink=b"the ink of this child" * 50), draft=number == 0)
        outbox.keep(item(8, 99, ink=b"that of another child"))

        outbox.forget([7])

        content = b"".join(path.read_bytes() for path in tmp_path.iterdir())
    assert b"the ink of this child" not in content
    assert b"that of another child" in content


def test_a_full_disk_is_told_and_what_lies_in_an_outbox_stays(small_disk):
    disk = small_disk("400k")
    filler = disk / "something else"
    with closing(Outbox(disk / "outbox.sqlite")) as outbox:
        outbox.keep(item(1, 1))
        filler.write_bytes(bytes(200_000))
        with pytest.raises(DiskFullError, match="the disk is full"):
            _keep_all(outbox, (item(1, number, ink=os.urandom(4000)) for number in range(2, 200)))
        kept_before = [each.id for each in outbox.batch(1000)]
        assert kept_before[0] == f"{1:032d}"

        filler.unlink()
        outbox.keep(item(1, 999))
        assert [each.id for each in outbox.batch(1000)] == [*kept_before, f"{999:032d}"]


def _keep_all(outbox, items):
    for each in items:
        outbox.keep(each)


# A window on a server


@pytest.fixture
def served(server):
    """The address of a record on the server, with two children; their numbers are 1 and 2."""
    address = server.emptied()
    with Record.open(address, now=MONDAY) as record:
        record.pupils.add("Nella")
        record.pupils.add("Bo")
    return address


@pytest.fixture
def proxied(server, served):  # noqa: ARG001 - the record is there before somebody comes to it
    with Proxy(server) as proxy:
        yield proxy


def opened(address, data):
    return ScreenRecord.open(address, data, longest_pause=0.3)


def kept(address):
    with Record.open(address, now=MONDAY) as record:
        return list(record.attempts.find())


def is_sent(data):
    until(lambda: not waiting(data), "what waits to be sent")


@pytest.mark.server
def test_what_a_window_writes_comes_to_the_server_whole(served, tmp_path):
    letter = attempt(1, "b", Kind.DIRECTION, Kind.SHAPE, written=ink(traces=2), notes=(Kind.ORDER,))
    line = WordTry(
        None, 2, "kit", WordPart.LINE, MONDAY, ink=ink(3), checks="today",
        findings=(WordFinding(WordKind.SPACING, 0.5, 0.3, 1),),
    )  # fmt: skip
    heard = WordTry(None, 2, "kit", WordPart.COUNT, MONDAY, asked=3, given=2, wrong=1)
    with opened(served, tmp_path) as screen:
        screen.attempts.keep_draft(1, "b", Step.COPY, ink(traces=1))
        screen.attempts.keep(letter)
        screen.word_tries.keep_draft(line)
        screen.word_tries.keep(heard)
        screen.word_tries.keep(line)
        is_sent(tmp_path)

        with Record.open(served, now=MONDAY) as record:
            (delivered,) = record.attempts.find()
            first, second = sorted(record.word_tries.find(), key=lambda tried: tried.part.value)
            (seen,) = record.screens.find()

    assert (delivered.verdict, delivered.at, delivered.letter) == (letter.verdict, letter.at, letter.letter)
    assert len(delivered.ink) == 2
    assert {first.part, second.part} == {WordPart.LINE, WordPart.COUNT}
    written = first if first.part is WordPart.LINE else second
    assert (written.findings, written.finished, len(written.ink)) == (line.findings, True, 1)
    assert seen.state.open
    assert seen.state.waiting == 0


@pytest.mark.server
def test_a_draft_goes_on_its_way_when_it_is_left_and_never_when_it_is_taken_back(served, tmp_path):
    place = InWord("kit", 0)
    with opened(served, tmp_path) as screen:
        screen.attempts.keep_draft(1, "b", Step.COPY, ink(1))
        screen.attempts.drop_draft(1)
        screen.attempts.keep_draft(1, "d", Step.COPY, ink(2))
        screen.attempts.keep_draft(1, "k", Step.COPY, ink(3), place)  # d is left by that
        screen.attempts.keep_draft(2, "t", Step.COPY, ink(4))
        screen.attempts.leave_draft(2)
        screen.attempts.keep_draft(1, "k", Step.COPY, ink(3, traces=2), place)
        until(lambda: len(kept(served)) == 2, "two letters that were broken off")
        assert waiting(tmp_path)[0].items == 1, "that which is being written"

    assert [(each.letter, len(each.ink), each.finished, each.in_word) for each in kept(served)] == [
        ("d", 1, False, None),
        ("k", 2, False, place),
        ("t", 1, False, None),
    ]
    assert not waiting(tmp_path), "the window was closed, and what was in hand is sent"


@pytest.mark.server
@pytest.mark.parametrize("where", ["before", "after"])
def test_a_connection_that_breaks_in_its_commit_loses_nothing_and_doubles_nothing(
    proxied, served, tmp_path, where
):
    with opened(proxied.address("harbor"), tmp_path) as screen:
        until(lambda: not screen._sender.away, "the first word with the server")
        proxied.cut_at = where
        for day in range(3):
            screen.attempts.keep(attempt(1, "b", day=day))
        assert proxied.was_cut.wait(HANG)
        is_sent(tmp_path)

    assert [each.at for each in kept(served)] == [attempt(1, "b", day=day).at for day in range(3)]


@pytest.mark.server
def test_a_window_goes_on_while_the_server_is_gone(proxied, served, tmp_path, monkeypatch):
    """Children come and go, by what was read last; what is written waits, and is in the history at once."""
    monkeypatch.setattr(sender, "IDLE", 0.0)
    with Record.open(served, now=MONDAY) as record:
        record.attempts.keep(attempt(2, "t"))
        record.plans.set("Class", ["k", "t"])
    with opened(proxied.address("harbor"), tmp_path) as screen:
        assert [pupil.name for pupil in screen.pupils.find()] == ["Bo", "Nella"]
        assert not list(screen.attempts.find(1))
        until(lambda: ("plan", 2) in screen.pupils._answers._known, "what the next child needs")
        proxied.accepts = False
        proxied.cut()

        screen.attempts.keep(attempt(1, "b"))
        assert [each.letter for each in screen.attempts.find(1)] == ["b"]
        assert screen.pupils.get(2).name == "Bo"
        assert [each.letter for each in screen.attempts.find(2)] == ["t"]
        assert screen.plans.for_pupil(2) == ["k", "t"]
        assert screen.words.own() == {}
        assert screen.settings.get("stage", "usual") == "usual"
        with pytest.raises(RecordError, match="a new card needs the server"):
            screen.pupils.add("Guest")
        assert waiting(tmp_path)[0].items == 1

        proxied.accepts = True
        is_sent(tmp_path)
        assert [each.letter for each in screen.attempts.find(1)] == ["b"]
        assert len(kept(served)) == 2


@pytest.mark.server
def test_children_notice_nothing_of_a_server_that_is_gone(proxied, served, tmp_path, monkeypatch):
    """One writes while it goes, another one comes and writes, and both are answered."""
    monkeypatch.setattr(sender, "IDLE", 0.0)
    with Record.open(served, now=MONDAY) as record:
        record.plans.set("Class", ["t"])
    with opened(proxied.address("harbor"), tmp_path) as screen:
        window, session = open_window(screen, ALPHABET, size=(480, 320))
        child = LongFrames(window)
        child.window.step([], 0.1)
        child.press("card 0")
        until(lambda: ("plan", 1) in screen.pupils._answers._known, "what the next child needs")
        proxied.accepts = False
        proxied.cut()
        for card in (0, 1):
            if card:
                child.press("leave")
                child.press("cards")
                child.press("card 1")
            child.press("letter t")
            child.press("go")
            child.write(write(ALPHABET["t"]))
            until(lambda: child.wait(0.1) or not isinstance(child.screen, Writing), "an answer")
            assert isinstance(child.screen, Answer)
            assert session.history[-1].letter == "t"
        assert waiting(tmp_path)[0].items == 2
        window.close()
        proxied.accepts = True
        is_sent(tmp_path)

    assert [(each.pupil, each.letter, len(each.ink)) for each in kept(served)] == [(2, "t", 2), (1, "t", 2)]


class LongFrames(Child):
    """Fewer frames to paint."""

    def wait(self, seconds):
        for _ in range(round(seconds * 10)):
            self.window.step([], 0.1)


@pytest.mark.server
def test_a_silent_server_is_waited_for_once_and_only_at_the_cards(proxied, served, tmp_path, monkeypatch):
    with opened(proxied.address("harbor"), tmp_path) as screen:
        assert len(screen.pupils.find()) == 2
        monkeypatch.setattr("trainer.record.outbox.answers.PATIENCE", 0.05)
        proxied.hold(True)
        assert len(screen.pupils.find()) == 2
        assert screen._sender.away
        screen.attempts.keep_draft(1, "b", Step.COPY, ink())
        screen.attempts.keep(attempt(1, "b"))
        proxied.hold(False)
        is_sent(tmp_path)

    assert len(kept(served)) == 1


@pytest.mark.server
def test_a_draft_that_an_outbox_cannot_let_go_stops_nobody_and_goes_later(served, tmp_path, monkeypatch):
    """Leaving a letter never fails: what is on the disk already is broken off when the window is closed."""

    def full(*_):
        raise DiskFullError("the disk is full")

    with opened(served, tmp_path) as screen:
        screen.attempts.keep_draft(1, "b", Step.COPY, ink())
        with monkeypatch.context() as then:
            then.setattr(Outbox, "leave", full)
            screen.attempts.leave_draft(1)
    assert not waiting(tmp_path)
    assert [each.letter for each in kept(served)] == ["b"]


@pytest.mark.server
def test_a_child_who_was_erased_meanwhile_is_erased_from_the_outbox_too(proxied, served, tmp_path):
    with opened(proxied.address("harbor"), tmp_path) as screen:
        assert len(screen.pupils.find()) == 2
        proxied.accepts = False
        proxied.cut()
        screen.attempts.keep(attempt(1, "b"))
        screen.attempts.keep(attempt(2, "b"))
        screen.attempts.keep_draft(1, "k", Step.COPY, ink())
        with Record.open(served, now=MONDAY) as record:
            record.erasure.remove_pupil(1)
            record.pupils.add("Ines")
        proxied.accepts = True
        is_sent(tmp_path)

        with pytest.raises(PupilError, match="no pupil with the number 1"):
            screen.attempts.keep_draft(1, "k", Step.COPY, ink(traces=2))
        assert screen.pupils.get(1) is None

    assert [each.pupil for each in kept(served)] == [2]


@pytest.mark.server
def test_without_the_server_a_window_does_not_begin_and_says_what_waits(proxied, served, tmp_path):
    address = proxied.address("harbor")
    with opened(address, tmp_path) as screen:
        proxied.accepts = False
        proxied.cut()
        screen.attempts.keep(attempt(1, "b"))

    with pytest.raises(RecordError, match=r"cannot be reached: .*; .* wait on this machine .*: 1$"):
        opened(address, tmp_path)

    proxied.accepts = True
    with opened(address, tmp_path):
        is_sent(tmp_path)
    assert len(kept(served)) == 1


@pytest.mark.server
def test_another_record_never_gets_what_waits_and_the_moved_one_does(proxied, server, served, tmp_path):
    with opened(proxied.address("harbor"), tmp_path) as screen:
        proxied.accepts = False
        proxied.cut()
        screen.attempts.keep(attempt(1, "b"))
    other = server.new("quay")
    with Record.open(other, now=MONDAY) as record:
        record.pupils.add("Cosmo")
    with opened(other, tmp_path) as screen:
        screen.attempts.keep(attempt(1, "o"))
    assert [each.letter for each in kept(other)] == ["o"]
    assert waiting(tmp_path)[0].items == 1

    with opened(served, tmp_path):  # the same record, at another address
        is_sent(tmp_path)
    assert [each.letter for each in kept(served)] == ["b"]


@pytest.mark.server
def test_two_windows_on_a_machine_are_one_screen_and_the_next_one_takes_over(proxied, served, tmp_path):
    address = proxied.address("harbor")
    with opened(address, tmp_path) as first:
        with opened(address, tmp_path) as second:
            proxied.accepts = False
            proxied.cut()
            first.attempts.keep_draft(1, "b", Step.COPY, ink())
            second.attempts.keep(attempt(2, "t"))
        proxied.accepts = True
        first.attempts.keep_draft(1, "b", Step.COPY, ink(traces=2))
        assert not kept(served), "each sends its own"
    with opened(address, tmp_path):
        is_sent(tmp_path)
        with Record.open(served, now=MONDAY) as record:
            (screen,) = record.screens.find()

    assert sorted((each.letter, each.finished, len(each.ink)) for each in kept(served)) == [
        ("b", False, 2),
        ("t", True, 1),
    ]
    assert screen.state.waiting == 0


@pytest.mark.server
def test_a_server_that_is_too_old_is_refused_in_a_sentence(served, monkeypatch):
    monkeypatch.setattr(postgresql, "OLDEST", 99)

    with pytest.raises(RecordError, match=r"must be PostgreSQL 99 or newer, not 1\d"):
        Record.open(served)


def test_an_identity_is_given_once(record):
    with record.database.writing() as connection:
        before = give_identity(connection)

    assert record.deliveries.identity() == before == record.deliveries.identity()


@pytest.mark.server
def test_who_closed_the_window_helps_or_makes_a_backup_is_told_what_waits(proxied, served, tmp_path, capsys):
    location = Location(data=tmp_path, url=proxied.address("harbor"))
    with location.open_for_practice() as screen:
        proxied.accepts = False
        proxied.cut()
        screen.attempts.keep(attempt(1, "b"))
        screen.attempts.keep(attempt(2, "b"))
    place = waiting(tmp_path)[0].place
    assert text("record.waiting", place=place, count=2) in capsys.readouterr().out
    where = ["--data", str(tmp_path), "--record", served]

    assert main(["doctor", *where]) == 0
    assert f"wait here to be sent to {place}: 2, " in capsys.readouterr().out
    assert main(["record", "backup", str(tmp_path / "backup.sqlite"), *where]) == 0
    assert text("record.waiting", place=place, count=2) in capsys.readouterr().out


@pytest.mark.server
def test_what_waits_is_for_the_record_that_was_put_back_unless_that_is_another_one(served, tmp_path):
    """A backup from before screens delivered has no identity of its own, and gets that of now."""
    backup.back_up(served, tmp_path / "before.sqlite", now=MONDAY)
    with Record.open(served, now=MONDAY) as record:
        name = record.deliveries.identity()
    with Record.open(tmp_path / "other.sqlite", now=MONDAY) as record:
        other = record.deliveries.identity()

    for put_back, identity in ((tmp_path / "before.sqlite", name), (tmp_path / "other.sqlite", other)):
        backup.restore(put_back, served, tmp_path, now=MONDAY + timedelta(seconds=len(put_back.name)))
        with Record.open(served, now=MONDAY) as record:
            assert record.deliveries.identity() == identity
