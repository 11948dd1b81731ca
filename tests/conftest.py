"""Every test runs without a display, except those that are marked `screen` and bring their own."""

from __future__ import annotations

import gc
import os
from collections.abc import Callable, Generator, Iterator
from pathlib import Path
from typing import Any, ClassVar

import pytest
from flask import Flask
from hypothesis import HealthCheck, settings
from jinja2 import BytecodeCache
from jinja2.bccache import Bucket
from sqlalchemy import Connection, Engine, event
from sqlalchemy.engine.default import DefaultDialect
from werkzeug.routing import Rule

from strokes.warping import pairs as warping
from tests.desk.visitor import HASH, TODAY
from tests.server import OLDEST, Server, pieces_in, programs, serving
from tests.waiting import until
from trainer import places
from trainer.demo import fill
from trainer.desk.access.passphrase import SETTING

os.environ["SDL_VIDEODRIVER"] = "dummy"
os.environ["SDL_AUDIODRIVER"] = "dummy"
os.environ["PYGAME_HIDE_SUPPORT_PROMPT"] = "1"

# Matrices here are small: the threads numpy keeps for large ones would only wait, and spin while they do.
os.environ["OPENBLAS_NUM_THREADS"] = "1"

# Python keeps what it compiled, as it does unless told otherwise; the tests start some hundred programs.
os.environ.pop("PYTHONDONTWRITEBYTECODE", None)

# Thousands of tests are collected, and all stay: to look for what could go takes a third of that time.
gc.disable()

# No example fails because the machine has other work to do. It builds on the profile in force: Hypothesis has
# one of its own for continuous integration.
settings.register_profile(
    "any machine", parent=settings(), deadline=None, suppress_health_check=[HealthCheck.too_slow]
)
settings.load_profile("any machine")


class CompiledTemplates(BytecodeCache):
    """Templates that were compiled in this process: each test of the desk makes an app of its own."""

    def __init__(self) -> None:
        self.compiled: dict[str, bytes] = {}

    def load_bytecode(self, bucket: Bucket) -> None:
        if bucket.key in self.compiled:
            bucket.bytecode_from_string(self.compiled[bucket.key])

    def dump_bytecode(self, bucket: Bucket) -> None:
        self.compiled[bucket.key] = bucket.bytecode_to_string()


Flask.jinja_options = {"bytecode_cache": CompiledTemplates()}


class CompiledRule(Rule):
    """An address of the desk; it was compiled in this process, as werkzeug does for each app."""

    compiled: ClassVar[dict[tuple[str, str], Rule]] = {}

    def compile(self) -> None:
        known = self.compiled.setdefault((self.rule, repr(self.defaults)), self)
        if known is self:
            super().compile()
            return
        self._parts, self._trace, self._converters = known._parts, known._trace, known._converters
        self.arguments = known.arguments
        self._build = known._build.__func__.__get__(self, None)  # type: ignore[attr-defined]
        self._build_unknown = known._build_unknown.__func__.__get__(self, None)  # type: ignore[attr-defined]


Flask.url_rule_class = CompiledRule

COMPILED_STATEMENTS: dict[Any, Any] = {}
"""SQL that was compiled in this process: each record has an engine of its own, which would begin anew."""


@event.listens_for(Engine, "engine_connect")
def _share_compiled_statements(connection: Connection) -> None:
    connection.execution_options(compiled_cache=COMPILED_STATEMENTS)


# A statement is looked up by what it says and by its engine's dialect: all of one kind speak alike here.
DefaultDialect.__eq__ = lambda dialect, other: type(dialect) is type(other)
DefaultDialect.__hash__ = lambda dialect: hash(type(dialect))


@pytest.hookimpl(wrapper=True)
def pytest_xdist_auto_num_workers() -> Generator[None, int, int]:
    """Three processes for two cores: what waits for a browser or a server leaves its core to the others."""
    cores = yield
    return cores if "PYTEST_XDIST_AUTO_NUM_WORKERS" in os.environ else cores + cores // 2


@pytest.hookimpl(trylast=True)
def pytest_collection_modifyitems(items: list[pytest.Item]) -> None:
    """What takes long comes first, and at the end all processes have little tests to share.

    Each begins with an equal part of the list: the first one has the browser then, the second one the server.
    """
    browser, long, little = [], [], []
    for item in items:
        marks = {mark.name for mark in item.iter_markers()}
        kind = browser if "browser" in marks else long if marks & {"screen", "slow", "server"} else little
        kind.append(item)
    processes = int(os.environ.get("PYTEST_XDIST_WORKER_COUNT", "1"))
    between = max(0, len(items) // processes - len(browser)) if processes > 1 else 0
    items[:] = browser + little[:between] + long + little[between:]


def pytest_collection_finish() -> None:
    """Garbage is collected again, but not looked for among the tests."""
    gc.freeze()
    gc.enable()


@pytest.fixture(autouse=True)
def _lanes_as_nobody_told() -> Iterator[None]:
    """Whether lanes warp holds for the whole program, and their last digit may differ from numpy's."""
    yield
    warping.use_lanes(None)


@pytest.fixture(scope="session")
def demo_record(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The file of the invented class with its term up to TODAY, and a passphrase; copy it, do not change it.

    The first process that asks fills it for all that run side by side, as it costs seconds.
    """
    folder = tmp_path_factory.getbasetemp()
    if "PYTEST_XDIST_WORKER" in os.environ:
        folder = folder.parent
    folder, ready = folder / "demo", folder / "demo is ready"
    try:
        folder.mkdir()
    except FileExistsError:
        until(ready.exists, "the invented class")
    else:
        try:
            with fill(folder, today=TODAY) as record:
                record.settings.set(SETTING, HASH)
        finally:
            ready.touch()
    return folder / places.RECORD


@pytest.fixture(scope="session")
def server() -> Iterator[Server]:
    """A PostgreSQL server; skips where its programs are missing."""
    folder = programs()
    if folder is None:
        pytest.skip(f"there are no programs of a PostgreSQL server {OLDEST} or newer on this machine")
    with serving(folder) as started:
        yield started


@pytest.fixture(params=["sqlite", pytest.param("postgresql", marks=pytest.mark.server)])
def place(request: pytest.FixtureRequest, tmp_path: Path) -> Path | str:
    """Where a record can be opened that has nothing in it: first a file, then a database on a server."""
    if request.param == "sqlite":
        return tmp_path / "record.sqlite"
    server: Server = request.getfixturevalue("server")
    return server.emptied()


@pytest.fixture
def held_bytes(place: Path | str, request: pytest.FixtureRequest) -> Callable[..., set[bytes]]:
    """Those of some pieces of bytes that are in any file of that record, or of the server that keeps it."""
    if isinstance(place, Path):
        return lambda *wanted: pieces_in(place.parent.iterdir(), wanted)
    server: Server = request.getfixturevalue("server")
    return server.held
