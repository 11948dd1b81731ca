"""An open record for the tests, in a file first and on a server then."""

from __future__ import annotations

import os
import shutil
import subprocess
from collections.abc import Callable, Iterator
from pathlib import Path

import pytest

from tests.trainer.deaths import Workers, workers
from tests.trainer.samples import MONDAY
from tests.trainer.whole_record import fill
from trainer import places
from trainer.record.record import Record


@pytest.fixture(scope="session")
def _empty(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A record with its tables and nothing in them: a copy takes a quarter of the time of a new one."""
    file = tmp_path_factory.mktemp("empty") / places.RECORD
    Record.open(file, now=MONDAY).close()
    return file


@pytest.fixture
def record(place: Path | str, _empty: Path) -> Iterator[Record]:
    """An empty record, on the day of the samples."""
    if isinstance(place, Path):
        shutil.copy(_empty, place)
    with Record.open(place, now=MONDAY) as record:
        yield record


@pytest.fixture(scope="session")
def _filled(tmp_path_factory: pytest.TempPathFactory) -> Path:
    file = tmp_path_factory.mktemp("filled") / places.RECORD
    fill(file)
    return file


@pytest.fixture
def filled_file(_filled: Path, tmp_path: Path) -> Path:
    """A record in a file that has something in every kind of table, to be changed at will."""
    return Path(shutil.copy(_filled, tmp_path / places.RECORD))


@pytest.fixture(scope="session")
def mortal() -> Iterator[Workers]:
    """Runs what works on a record and is killed."""
    if not hasattr(os, "fork"):
        pytest.skip("workers are forked, and SIGKILL is of POSIX")
    with workers() as process:
        yield process


@pytest.fixture
def small_disk(tmp_path: Path) -> Iterator[Callable[[str], Path]]:
    """Makes a disk of a size such as `700k`; skips where that cannot be."""
    disk = tmp_path / "disk"
    disk.mkdir()

    def mount(size: str) -> Path:
        command = ["mount", "-t", "tmpfs", "-o", f"size={size}", "tmpfs", str(disk)]
        root = os.name == "posix" and os.geteuid() == 0 and shutil.which("mount") is not None
        if not root or subprocess.run(command).returncode:
            pytest.skip("a small disk can only be mounted by root, where the machine allows it")
        return disk

    yield mount
    if disk.is_mount():
        subprocess.run(["umount", str(disk)], check=True)
