"""What continuous integration installs on a new machine: each program that is missing, and no other."""

from __future__ import annotations

import os
import shutil
import subprocess
from pathlib import Path

import pytest

ROOT = Path(__file__).parents[1]
BASH = shutil.which("bash")

PACKAGES = {
    "Xvfb": "xvfb",
    "xdotool": "xdotool",
    "chromium": "chromium",
    "npm": "npm",
    "initdb": "postgresql",
}
"""The programs, each with the package of Debian that brings it."""

pytestmark = pytest.mark.skipif(os.name != "posix" or BASH is None, reason="there is no bash on this machine")


def install(folder: Path, *programs: str) -> None:
    folder.mkdir(parents=True, exist_ok=True)
    for program in programs:
        path = folder / program
        path.write_text("#!/bin/sh\nexit 1\n", encoding="utf-8")
        path.chmod(0o755)


def missing(folder: Path, servers: Path) -> list[str]:
    """What is asked for where the programs are those of one folder, and PostgreSQL's those of another."""
    done = subprocess.run(
        [str(BASH), ROOT / ".ci" / "missing", servers],
        capture_output=True,
        text=True,
        check=True,
        env={"PATH": str(folder)},
    )
    return done.stdout.splitlines()


@pytest.mark.parametrize("program", PACKAGES)
def test_only_the_program_that_is_missing_is_asked_for(tmp_path: Path, program: str) -> None:
    """Where npm came with nodejs, Debian's npm is not asked for again: it would be refused as a conflict."""
    install(tmp_path / "bin", *(PACKAGES.keys() - {program}))

    assert missing(tmp_path / "bin", tmp_path / "none") == [PACKAGES[program]]


@pytest.mark.parametrize("installed", [["chromium"], []])
def test_chromium_without_a_window_is_asked_for_where_debian_has_it(
    tmp_path: Path, installed: list[str]
) -> None:
    install(tmp_path / "bin", *(PACKAGES.keys() - {"chromium"}), *installed)
    known = tmp_path / "bin" / "apt-cache"
    known.write_text('#!/bin/sh\ntest "$*" = "show chromium-headless-shell"\n', encoding="utf-8")
    known.chmod(0o755)

    assert missing(tmp_path / "bin", tmp_path / "none") == ["chromium-headless-shell"]

    install(tmp_path / "bin", "chromium-headless-shell")

    assert missing(tmp_path / "bin", tmp_path / "none") == []


def test_a_machine_with_none_of_them_is_asked_for_all(tmp_path: Path) -> None:
    install(tmp_path / "bin")

    assert missing(tmp_path / "bin", tmp_path / "none") == [*PACKAGES.values()]


def test_a_machine_with_all_of_them_is_asked_for_nothing(tmp_path: Path) -> None:
    install(tmp_path / "bin", *PACKAGES)

    assert missing(tmp_path / "bin", tmp_path / "none") == []


def test_a_server_that_is_not_on_the_path_is_found_where_debian_keeps_it(tmp_path: Path) -> None:
    install(tmp_path / "bin", *(PACKAGES.keys() - {"initdb"}))
    install(tmp_path / "servers" / "17" / "bin", "initdb")

    assert missing(tmp_path / "bin", tmp_path / "servers") == []
