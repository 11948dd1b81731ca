"""The desk over a record on a PostgreSQL server: every page is the one that a file gives."""

from __future__ import annotations

import re
from collections.abc import Iterator
from pathlib import Path

import pytest

from tests.desk.visitor import PASSPHRASE, TODAY, Browser
from tests.server import Server
from trainer.desk.app import create_app
from trainer.desk.desk import Desk
from trainer.language.texts import text
from trainer.record.record import Record

pytestmark = pytest.mark.server


@pytest.fixture
def served(server: Server, demo_record: Path) -> Iterator[Record]:
    """The demo's record on the server, open."""
    with Record.open(server.copied(demo_record), now=TODAY) as opened:
        yield opened


@pytest.fixture
def other(served: Record, tmp_path: Path) -> Browser:
    """A browser at a desk over it that has given the passphrase."""
    app = create_app(Desk(served, letters_folder=tmp_path / "letters", clock=lambda: TODAY), testing=True)
    app.test_client_class = Browser
    browser = app.test_client()
    assert isinstance(browser, Browser)
    browser.get("/login")
    assert browser.post("/login", data={"passphrase": PASSPHRASE}).status_code == 303
    return browser


def shown(browser: Browser, path: str) -> str:
    answer = browser.get(path)
    assert answer.status_code == 200
    return re.sub(r'name="csrf_token" value="[^"]+"|content="[\w-]{40,}"', "", answer.text)


def test_every_page_is_the_one_that_a_file_gives(client: Browser, record: Record, other: Browser) -> None:
    pupil = record.pupils.find()[0]
    attempt = record.attempts.latest(pupil.id, n=1)[0]
    pages = [
        "/",
        "/?group=Quay",
        "/class",
        "/class?days=4-weeks",
        "/class?sort=name&down=1",
        "/plan",
        "/pupils",
    ]
    pages += [
        f"/pupil/{pupil.id}",
        f"/pupil/{pupil.id}?letter={attempt.letter}",
        f"/pupil/{pupil.id}/attempt/{attempt.id}",
    ]
    pages += [f"/pupils/erase?pupil={pupil.id}", "/pupils/erase?group=Quay"]

    for path in pages:
        assert shown(other, path) == shown(client, path)


def test_what_a_teacher_does_is_kept(other: Browser, served: Record) -> None:
    pupil = served.pupils.find("Quay")[0]
    other.post(f"/pupil/{pupil.id}/notes", data={"text": "Holds the pen well."})
    other.post("/pupils/erase?group=Slipway", data={"name": "Slipway"})

    assert [note.text for note in served.notes.find(pupil.id)] == ["Holds the pen well."]
    assert served.pupils.groups() == ("Quay",)


def test_what_no_server_could_look_for_is_not_there(other: Browser) -> None:
    for path in (f"/pupil/{2**40}", f"/pupil/1/attempt/{2**70}", "/pupils/erase?group=%00"):
        assert other.get(path).status_code == 404


def test_the_settings_say_where_the_record_is(client: Browser, other: Browser, served: Record) -> None:
    assert text("settings.place.means") in shown(client, "/settings")
    assert text("settings.place.server_means") in shown(other, "/settings")
    assert served.place in shown(other, "/settings")


def test_a_new_passphrase_ends_the_visits_at_every_desk_on_the_server(
    server: Server, other: Browser, tmp_path: Path
) -> None:
    with Record.open(server.address("harbor"), now=TODAY) as record:
        app = create_app(Desk(record, letters_folder=tmp_path / "letters", clock=lambda: TODAY), testing=True)
        app.test_client_class = Browser
        there = app.test_client()
        there.get("/login")
        there.post("/login", data={"passphrase": PASSPHRASE})
        assert there.get("/class").status_code == 200
        new = "a lantern in the fog"

        other.post(
            "/settings/passphrase", data={"old_passphrase": PASSPHRASE, "new_passphrase": new, "again": new}
        )

        assert other.get("/class").status_code == 200
        assert there.get("/class").location.startswith("/login")
