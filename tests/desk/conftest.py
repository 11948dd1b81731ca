"""A desk over the invented class, with a browser that has given the passphrase."""

from __future__ import annotations

import os
import shutil
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from threading import Thread
from typing import TYPE_CHECKING

import pytest
from flask import Flask

from tests.desk.visitor import PASSPHRASE, TODAY, Browser
from tests.sounds import tone, with_silence
from tests.waiting import HANG
from trainer import places
from trainer.desk.access.passphrase import passphrase
from trainer.desk.access.sessions import KNOWN
from trainer.desk.app import create_app
from trainer.desk.desk import Desk
from trainer.desk.serving import Service
from trainer.record.record import Record

if TYPE_CHECKING:
    from playwright.sync_api import Browser as Chromium
    from playwright.sync_api import ConsoleMessage, Page, Playwright, Response


@pytest.fixture
def record_file(demo_record: Path, tmp_path: Path) -> Path:
    """A copy of the demo's record for one test."""
    return Path(shutil.copy(demo_record, tmp_path / places.RECORD))


@pytest.fixture
def record(record_file: Path) -> Iterator[Record]:
    """The demo's record of one test, open."""
    with Record.open(record_file, now=TODAY) as opened:
        yield opened


@pytest.fixture
def app(record: Record, tmp_path: Path) -> Flask:
    """The desk over that record; the teacher has no letters of her own yet."""
    desk = Desk(record, letters_folder=tmp_path / places.LETTERS, clock=lambda: TODAY)
    made = create_app(desk, testing=True)
    made.test_client_class = Browser
    return made


@pytest.fixture
def stranger(app: Flask) -> Browser:
    """A browser that has given no passphrase."""
    client = app.test_client()
    assert isinstance(client, Browser)
    return client


@pytest.fixture
def client(stranger: Browser, app: Flask) -> Browser:
    """A browser that is known, as after the passphrase; that it is asked for stands in `test_security`."""
    with app.app_context():
        mark = passphrase().mark
    with stranger.session_transaction() as session:
        session[KNOWN] = mark
    return stranger


@pytest.fixture(scope="session")
def playwright() -> Iterator[Playwright]:
    """What drives browsers; there can be but one in a process."""
    from playwright.sync_api import sync_playwright

    with sync_playwright() as started:
        yield started


@contextmanager
def launched(playwright: Playwright, *options: str) -> Iterator[Chromium]:
    """Debian's Chromium, without the work of a window if it is there so; skips where there is none."""
    names = ("chromium-headless-shell", "chromium", "chromium-browser", "google-chrome")
    program = next(filter(None, map(shutil.which, names)), None)
    if program is None:
        pytest.skip("there is no Chromium on this machine")
    # Its sandbox refuses to start for root, as whom continuous integration may run.
    root = hasattr(os, "geteuid") and os.geteuid() == 0
    args = [*options, *(["--no-sandbox"] if root else [])]
    started = playwright.chromium.launch(executable_path=program, args=args, timeout=1000 * HANG)
    yield started
    started.close()


@pytest.fixture(scope="session")
def chromium(playwright: Playwright, tmp_path_factory: pytest.TempPathFactory) -> Iterator[Chromium]:
    """A browser whose microphone is a file, half a second of a tone again and again, granted to each page."""
    heard = tmp_path_factory.mktemp("microphone") / "heard.wav"
    heard.write_bytes(with_silence(tone(0.5), 0.2, 0.1).wav())
    with launched(
        playwright,
        "--use-fake-device-for-media-stream",
        f"--use-file-for-fake-audio-capture={heard}",
        "--use-fake-ui-for-media-stream",  # without a window there is nothing else that grants it
    ) as started:
        yield started


@pytest.fixture
def address(record: Record, tmp_path: Path) -> Iterator[str]:
    """Where the desk over this test's record is served, as `trainer desk` serves it."""
    desk = Desk(record, letters_folder=tmp_path / places.LETTERS, clock=lambda: TODAY)
    with served(desk, tmp_path) as service:
        yield service.address


@contextmanager
def served(desk: Desk, folder: Path) -> Iterator[Service]:
    """A desk that answers in a thread of its own; its page of invitation is in the folder."""
    service = Service.open(desk, folder)
    serving = Thread(target=service.run, daemon=True)
    serving.start()
    try:
        yield service
    finally:
        service.close()
        serving.join(timeout=HANG)
    assert not serving.is_alive()


@contextmanager
def watched(chromium: Chromium, address: str) -> Iterator[Page]:
    """A browser window for the desk at that address; nothing may go wrong in it unseen."""
    context = chromium.new_context(viewport={"width": 1280, "height": 900}, base_url=address)
    context.set_default_timeout(1000 * HANG)
    page = context.new_page()
    trouble: list[str] = []

    def hear(said: ConsoleMessage) -> None:
        # Chromium also logs each page that tells a mistake of the teacher's; `answered` knows better.
        if said.type in ("error", "warning") and not said.text.startswith("Failed to load resource"):
            trouble.append(said.text)

    def answered(answer: Response) -> None:
        own = answer.url.startswith((address, "file:"))  # the invitation is a file
        if answer.status in (404, 405) or answer.status >= 500 or not own:
            trouble.append(f"{answer.status} {answer.url}")

    page.on("console", hear)
    page.on("pageerror", lambda error: trouble.append(str(error)))
    page.on("response", answered)
    try:
        yield page
    finally:
        context.close()
    assert trouble == []


def sign_in(page: Page) -> None:
    page.goto("/")
    page.get_by_label("Passphrase").fill(PASSPHRASE)
    with page.expect_navigation():
        page.get_by_role("button", name="Open").click()


@pytest.fixture
def window(chromium: Chromium, address: str) -> Iterator[Page]:
    """A browser window at the desk, with the passphrase given."""
    with watched(chromium, address) as page:
        sign_in(page)
        yield page
