"""A desk over the invented class, with a browser that has given the passphrase."""

from __future__ import annotations

import shutil
from collections.abc import Iterator
from pathlib import Path

import pytest
from argon2 import PasswordHasher
from flask import Flask

from tests.desk.visitor import PASSPHRASE, TODAY, Browser
from trainer import places
from trainer.demo import fill
from trainer.desk.app import create_app
from trainer.desk.desk import Desk
from trainer.desk.passphrase import SETTING
from trainer.record import Record

HASH = PasswordHasher(time_cost=1, memory_cost=8, parallelism=1).hash(PASSPHRASE)
"""A hash that is quick to check; the desk's own ones are slow on purpose."""


@pytest.fixture(scope="session")
def demo_record(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The file of the invented class with its term up to TODAY; copy it, do not change it."""
    folder = tmp_path_factory.mktemp("demo")
    with fill(folder, today=TODAY) as record:
        record.set_setting(SETTING, HASH)
    return folder / places.RECORD


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
def client(stranger: Browser) -> Browser:
    """A browser that has given the passphrase."""
    stranger.get("/login")
    answer = stranger.post("/login", data={"passphrase": PASSPHRASE})
    assert answer.status_code == 303
    return stranger
