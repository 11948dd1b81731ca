"""A teacher records her voice: by file, many at once, and with the microphone of a browser."""

from __future__ import annotations

import io
from pathlib import Path
from typing import TYPE_CHECKING

import pytest
from werkzeug.test import TestResponse

from tests.desk import reader
from tests.desk.conftest import launched, sign_in, watched
from tests.desk.layout import runs_out
from tests.desk.test_access import WIDTHS, violations_in_all_colors
from tests.desk.visitor import Browser
from tests.sounds import said, written
from trainer import places
from trainer.desk.access import guard
from trainer.desk.pages.voice import FIRST, SHELVES
from trainer.language import text
from trainer.speech import lone_sound, recordings_in, words
from trainer.speech.recordings import Recordings

if TYPE_CHECKING:
    from playwright.sync_api import Page, Playwright

GROUPED = {
    "sounds": ["letters", "together", "unsaid"],
    "cues": ["several", "one"],
    "sentences": ["several", "one", "session"],
}

M, CUE = lone_sound("M"), words("Straight down.")


@pytest.fixture
def recordings(tmp_path: Path) -> Recordings:
    return recordings_in(tmp_path / places.SPEECH)


def send(client: Browser, address: str, name: str, content: bytes, **headers: str) -> TestResponse:
    field = "files" if address == "/voice" else "file"
    return client.post(address, data={field: (io.BytesIO(content), name)}, headers=headers)


def lines(client: Browser, shelf: str) -> list[str]:
    """The keys on a shelf, in the order of the page."""
    page = reader.page(client.get(f"/voice?of={shelf}&all=yes"))
    return [element.get("id", "") for element in reader.of_class(page, "sayable")]


@pytest.mark.parametrize("shelf", SHELVES)
def test_the_page_lists_what_is_missing_most_used_first(client: Browser, shelf: str) -> None:
    page = client.get(f"/voice?of={shelf}").text

    assert text(f"voice.shelf.{shelf}") in page
    groups = reader.of_class(reader.page(client.get(f"/voice?of={shelf}")), "kind")
    assert [reader.said(group.find("summary/h3")).rstrip("0123456789 ") for group in groups] == [
        text(f"voice.kind.{kind}") for kind in GROUPED[shelf]
    ]
    assert ["open" in group.attrib for group in groups] == [True, False, False][: len(groups)]
    assert all(len(reader.of_class(group, "sayable")) <= FIRST for group in groups)
    first = {"sounds": lone_sound("K"), "cues": CUE, "sentences": words(text("practice.watch.title"))}[shelf]
    assert lines(client, shelf)[0] == first.key


def test_a_file_is_taken_listened_to_and_erased(client: Browser, recordings: Recordings) -> None:
    answer = send(client, f"/voice/{CUE.key}", "any name.flac", written(said(), kind="FLAC"))
    assert answer.status_code == 303

    assert recordings.keys() == {CUE.key}
    with client.get(f"/voice/{CUE.key}/recording.wav") as heard:
        assert heard.mimetype == "audio/wav"
        assert heard.data == recordings.file(CUE).read_bytes()
    assert lines(client, "cues")[-1] == CUE.key, "it stands with the recorded ones"
    assert client.post(f"/voice/{CUE.key}/remove", data={"of": "cues"}).status_code == 303
    assert recordings.keys() == set()
    assert client.get(f"/voice/{CUE.key}/recording.wav").status_code == 404
    assert client.post(f"/voice/{CUE.key}/remove").status_code == 404


def test_what_cannot_be_taken_is_told_and_the_one_before_stays(
    client: Browser, recordings: Recordings
) -> None:
    recordings.keep(CUE, written(said()))

    answer = send(client, f"/voice/{CUE.key}", "cue.wav", b"no sound at all")

    assert answer.status_code == 422
    assert "must be a WAV, Ogg or FLAC file" in answer.text
    assert recordings.ready(CUE) is not None
    assert send(client, f"/voice/{CUE.key}", "", b"").status_code == 422


def test_the_script_is_answered_with_a_sentence(client: Browser) -> None:
    good = send(client, f"/voice/{M.key}", "r.wav", written(said()), Accept="application/json")
    assert good.status_code == 200
    assert good.json is not None
    assert good.json["said"].startswith("Recorded: “Sound of m, M, as in “map””, 0.4")

    bad = send(client, f"/voice/{M.key}", "r.wav", written(said(0.0)), Accept="application/json")
    assert bad.status_code == 422
    assert bad.json is not None
    assert "silent" in bad.json["said"]


@pytest.mark.parametrize("key", ["sound.m.000000000000", "../record", "words", "sound.m"])
def test_what_nobody_says_cannot_be_recorded(client: Browser, recordings: Recordings, key: str) -> None:
    assert send(client, f"/voice/{key}", "m.wav", written(said())).status_code == 404
    assert client.get(f"/voice/{key}/recording.wav").status_code == 404
    assert not recordings.folder.exists()


def test_many_files_are_taken_by_their_names(client: Browser, recordings: Recordings) -> None:
    good = written(said(), kind="FLAC")
    names = ["m.wav", "folder/Straight-down.wav", "boat.wav", "k.wav"]
    files = [(io.BytesIO(good), name) for name in names] + [(io.BytesIO(b"text"), "notes.txt")]

    answer = client.post("/voice", data={"files": files})

    assert answer.status_code == 422
    assert text("voice.files.taken", count=4) in answer.text
    assert "notes.txt: A recording must be a WAV" in answer.text
    assert recordings.keys() == {M.key, CUE.key, words("boat").key, lone_sound("K").key}
    assert words("boat").key in lines(client, "others")
    assert client.post("/voice").status_code == 422


def test_the_microphone_and_sound_are_allowed_on_that_page_alone(client: Browser) -> None:
    with client.get("/voice") as answer:
        headers = answer.headers
    with client.get("/settings") as answer:
        others = answer.headers

    assert headers["Content-Security-Policy"] == f"{guard.POLICY}; media-src 'self'"
    assert "microphone=(self)" in headers["Permissions-Policy"]
    assert "camera=()" in headers["Permissions-Policy"]
    assert others["Content-Security-Policy"] == guard.POLICY
    assert "microphone=()" in others["Permissions-Policy"]


def test_a_stranger_hears_nothing(stranger: Browser, recordings: Recordings) -> None:
    recordings.keep(M, written(said()))

    assert stranger.get(f"/voice/{M.key}/recording.wav").status_code == 303
    assert stranger.get("/voice").status_code == 303


# With a microphone


def record_with_microphone(window: Page, recordings: Recordings) -> None:
    """A sound is recorded, heard, again and erased; in the sitting of `tests/desk/test_lesson.py`."""
    window.goto("/voice")
    line = window.locator(f"[id='{M.key}']")
    record = line.locator("[data-record]")
    for _ in range(2):
        record.click()
        line.get_by_text("Recording: say it now").wait_for()
        assert window.locator("[data-record]").nth(3).is_disabled(), "one at a time"
        window.wait_for_timeout(900)  # of sound
        record.click()
        line.get_by_text("Recorded: “Sound of m").wait_for()
    heard = recordings.ready(M)
    assert heard is not None
    assert 0.2 < heard.seconds < 4.0

    played = line.locator("audio")
    played.evaluate("one => { one.muted = true; return one.play(); }")
    assert played.evaluate("one => one.error === null && one.duration > 0.2")
    for width in WIDTHS:
        window.set_viewport_size({"width": width, "height": 900})
        assert not runs_out(window)
    assert violations_in_all_colors(window) == []

    line.get_by_role("button", name="Erase").click()
    window.get_by_text("The recording is erased.").wait_for()
    assert recordings.keys() == set()


@pytest.mark.browser
def test_without_a_microphone_the_page_says_so_and_takes_a_file(playwright: Playwright, address: str) -> None:
    with launched(playwright) as plain, watched(plain, address) as window:
        sign_in(window)
        window.goto("/voice")
        line = window.locator(f"[id='{M.key}']")

        line.locator("[data-record]").click()

        line.get_by_text("The browser may not use a microphone here").wait_for()
        assert line.locator("[data-record]").is_enabled()
        assert line.get_by_text("Take a file").is_visible()
