"""Opening practice from the desk: one window, on this record, and a sentence for whatever comes of it."""

from __future__ import annotations

import json
import sys
from collections.abc import Callable, Iterator
from datetime import UTC, datetime, timedelta
from pathlib import Path

import pytest
from flask import Flask

from tests.desk.visitor import TODAY, Browser
from tests.waiting import HANG, until
from trainer.desk.app import NAME
from trainer.desk.desk import Desk
from trainer.desk.practice_window import PracticeWindow
from trainer.language import clock_words, day_words, text
from trainer.record import tables
from trainer.record.deliveries import ScreenState
from trainer.record.mappers import stamp
from trainer.record.record import Record

OPENS = f"import time; print('open', flush=True); time.sleep({HANG})"
LEAVES = "print('open', flush=True)"
FAILS = "import sys; print('a warning', file=sys.stderr); sys.exit('trainer: there is no screen here')"
SAYS_HOW = """
import json, os, sys
print(json.dumps([sys.argv[1:], os.getsid(0) == os.getpid(), os.environ["WORD"], sys.stdin.read()]))
"""
"""What stands in the window's place: programs that open, are left, fail, or tell how they were begun."""

Opening = Callable[..., PracticeWindow]


@pytest.fixture
def opening(app: Flask, record: Record, tmp_path: Path) -> Iterator[Opening]:
    """Gives the desk a program in the place of the practice window, which ends with the test."""
    made: list[PracticeWindow] = []

    def give(script: str, *words: str, lasts: bool = False, **variables: str) -> PracticeWindow:
        window = PracticeWindow(
            words, variables=variables, lasts=lasts, program=(sys.executable, "-S", "-E", "-c", script)
        )
        app.extensions[NAME] = Desk(record, tmp_path, clock=lambda: TODAY, practice=window)
        made.append(window)
        return window

    yield give
    for window in made:
        window.lasts = False
        window.close()


def press(client: Browser, **sent: str) -> str:
    """Press the button; gives the page that comes then."""
    answer = client.post("/practice", data=sent)
    assert answer.status_code == 303
    return client.get(answer.location).text


def test_the_button_opens_one_window_however_often_it_is_pressed(client: Browser, opening: Opening) -> None:
    window = opening(OPENS)
    assert text("screens.state.open", since=_since(window)) in press(client)
    process = window.process

    again = press(client, **{"from": "first_day"})

    assert window.process is process
    assert text("screens.already") in again
    assert text("first_day.heading") in again, "back where the button was pressed"


def _since(window: PracticeWindow) -> str:
    return f"{window.since or TODAY:%H:%M}"


def test_without_a_screen_the_reason_stands_there_and_it_can_be_tried_again(
    client: Browser, opening: Opening
) -> None:
    window = opening(FAILS)

    for _ in range(2):
        shown = press(client)
        assert text("screens.state.failed", reason="There is no screen here.") in shown
    assert window.state == "failed"
    assert "a warning" not in shown


def test_a_program_that_is_gone_is_told(client: Browser, app: Flask, tmp_path: Path) -> None:
    """As after an upgrade while the desk is open."""
    desk = app.extensions[NAME]
    with PracticeWindow(program=(str(tmp_path / "python"),)) as window:
        app.extensions[NAME] = Desk(desk.record, desk.letters_folder, practice=window)

        assert "could not be opened" in press(client)
        assert f"{tmp_path / 'python'}: No such file or directory" in client.get("/practice").text


def test_a_window_that_was_left_is_opened_anew(client: Browser, opening: Opening) -> None:
    window = opening(LEAVES)
    assert text("screens.state.failed", reason="") not in press(client)
    first = window.process
    assert first is not None
    first.wait(HANG)

    assert window.state == "closed"
    press(client)
    assert window.process is not first


def test_a_window_that_fails_later_is_told_on_the_page(client: Browser, opening: Opening) -> None:
    window = opening(OPENS)
    press(client)
    assert window.process is not None
    window.process.kill()
    window.process.wait(HANG)

    assert window.state == "broken"
    assert f"opened at {_since(window)} has ended by a fault" in client.get("/practice").text


@pytest.mark.parametrize("lasts", [True, False])
def test_when_the_desk_is_closed_a_window_stays_unless_its_record_is_thrown_away(
    client: Browser, opening: Opening, lasts: bool
) -> None:
    window = opening(OPENS, lasts=lasts)
    said = press(client)
    process = window.process
    assert process is not None

    window.close()

    assert (process.poll() is None) == lasts
    assert text("screens.lasts" if lasts else "screens.ends") in said
    process.kill()
    process.wait(HANG)


@pytest.mark.skipif(sys.platform == "win32", reason="sessions are of POSIX")
def test_the_window_is_begun_without_a_shell_and_apart_from_the_terminal(
    client: Browser, opening: Opening, tmp_path: Path
) -> None:
    """No word of the form reaches it; nothing is read from the terminal, and Ctrl-C there does not end it."""
    window = opening(SAYS_HOW, "--data", "a folder; $(reboot)", WORD="herring")
    press(client, **{"from": "x", "--data": "elsewhere", "words": "--fullscreen"})
    assert window.process is not None
    window.process.wait(HANG)

    said = json.loads((window.folder / "said").read_text())
    assert said == [["practice", "--data", "a folder; $(reboot)", "--screen", "2"], True, "herring", ""]
    assert tmp_path.exists()


def test_a_slow_window_is_said_to_be_opening_and_is_not_opened_twice(
    client: Browser, opening: Opening, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    gate = tmp_path / "gate"
    waits = f"import os, time\nwhile not os.path.exists({str(gate)!r}): time.sleep(0.02)\n{OPENS}"
    monkeypatch.setattr("trainer.desk.practice_window.PATIENCE", 0.1)
    window = opening(waits)

    assert text("screens.state.opening") in press(client)
    assert text("screens.already") in press(client)
    gate.touch()
    until(lambda: window.state == "open", "the window to open")


def test_the_line_for_other_screens_is_the_one_of_this_record(client: Browser, app: Flask) -> None:
    desk = app.extensions[NAME]
    window = PracticeWindow(typed="trainer practice --data '/home/a <b>'")
    app.extensions[NAME] = Desk(desk.record, desk.letters_folder, practice=window)

    assert "trainer practice --data &#39;/home/a &lt;b&gt;&#39;" in client.get("/practice").text
    window.close()


def test_a_desk_without_windows_says_so(client: Browser) -> None:
    assert text("screens.none") in client.get("/practice").text
    assert client.post("/practice").status_code == 404


def test_a_desk_without_other_screens_speaks_of_none(client: Browser) -> None:
    assert text("screens.each.heading") not in client.get("/practice").text


def test_each_screen_stands_there_with_when_it_was_heard_from_and_what_waits(
    client: Browser, record: Record
) -> None:
    take = record.deliveries.take
    take([], ScreenState("1" * 32, "By the door"))
    take([], ScreenState("2" * 32, "Back <b>corner</b>", waiting=7, little_room=True))
    take([], ScreenState("3" * 32, "Hall", waiting=2, open=False))
    with record.database.writing() as connection:
        table = tables.screen
        long_ago = table.update().where(table.c.code == "2" * 32)
        connection.execute(long_ago.values(heard=stamp(datetime.now(UTC) - timedelta(hours=2.99))))

    page = client.get("/practice").text

    when = TODAY - timedelta(hours=2.99)
    silent = text("screens.each.silent", day=day_words(when), time=clock_words(when))
    assert f"{text('screens.each.open')} {text('screens.each.nothing')}" in page
    seven = text("screens.each.waiting", count=7)
    assert f"{silent} {seven} {text('screens.each.little_room')}" in page
    assert text("screens.each.waiting", count=2) in page
    assert "<b>corner" not in page

    client.post("/practice/forget", data={"screen": "2" * 32})
    assert "corner" not in client.get("/practice").text
    assert "By the door" in client.get("/practice").text
