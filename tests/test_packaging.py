"""What pyproject.toml asks for can be had with every Python from the oldest on."""

from __future__ import annotations

import re
import tomllib
from collections import Counter
from importlib.metadata import PackageNotFoundError, version
from pathlib import Path
from unicodedata import normalize

import pytest
from packaging.requirements import Requirement
from packaging.specifiers import SpecifierSet

from strokes.files import load_letter, shipped
from trainer.places import is_reserved

ROOT = Path(__file__).parents[1]
PROJECT = tomllib.loads((ROOT / "pyproject.toml").read_text(encoding="utf-8"))["project"]
PYTHONS = ["3.11", "3.12", "3.13", "3.14", "3.15"]


def asked(python: str, *extras: str) -> set[str]:
    """The names of what is asked for with one Python."""
    lists = [PROJECT["dependencies"], *(PROJECT["optional-dependencies"][extra] for extra in extras)]
    requirements = [Requirement(line) for lines in lists for line in lines]
    return {
        requirement.name
        for requirement in requirements
        if requirement.marker is None or requirement.marker.evaluate({"python_version": python})
    }


@pytest.mark.parametrize("python", PYTHONS)
def test_each_python_gets_exactly_one_pygame(python: str) -> None:
    """Both are imported as `pygame`; the older one has no wheel from 3.14 on."""
    expected = "pygame" if python in ("3.11", "3.12", "3.13") else "pygame-ce"

    assert asked(python) & {"pygame", "pygame-ce"} == {expected}


@pytest.mark.parametrize("python", PYTHONS)
def test_what_has_no_wheel_is_not_asked_for(python: str) -> None:
    without = {"3.14": {"traj-dist-rs"}, "3.15": {"traj-dist-rs", "aeon", "dtaidistance"}}

    everything = asked("3.11", *PROJECT["optional-dependencies"]) - {"pygame"}

    required = asked(python, *PROJECT["optional-dependencies"]) - {"pygame", "pygame-ce"}
    assert required == everything - without.get(python, set())


def test_the_oldest_python_is_the_one_that_the_readme_names() -> None:
    named = re.search(r"Python (\d+\.\d+) or newer", (ROOT / "README.md").read_text(encoding="utf-8"))
    assert named is not None
    pythons = SpecifierSet(PROJECT["requires-python"])

    assert named[1] == PYTHONS[0]
    assert all(python in pythons for python in PYTHONS)
    assert "3.10" not in pythons


def test_only_one_pygame_is_installed_here() -> None:
    """Side by side they overwrite each other's files."""
    there = []
    for name in ("pygame", "pygame-ce"):
        try:
            there.append(f"{name} {version(name)}")
        except PackageNotFoundError:
            continue

    assert len(there) == 1, there


def test_an_installed_package_holds_its_letters_and_texts_and_nothing_is_named_assets(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    tool = tomllib.loads((ROOT / "pyproject.toml").read_text(encoding="utf-8"))["tool"]["hatch"]
    wheel = tool["build"]["targets"]["wheel"]
    renamed = wheel["sources"]

    assert {path for path in wheel["only-include"] if path.startswith("assets")} == set(renamed)
    for source, target in renamed.items():
        package, name = target.split("/")
        assert shipped(package, name) == ROOT / source
        (tmp_path / target).mkdir(parents=True)
    monkeypatch.setattr("strokes.files.shipped_files._CHECKOUT", tmp_path)  # as an installed wheel lies
    for target in renamed.values():
        assert shipped(*target.split("/")) == tmp_path / target


def test_every_file_of_the_project_can_lie_on_windows_and_macos() -> None:
    """No two differ by case or by how a letter is composed, and no name is kept for a device there."""
    folders = [ROOT / name for name in ("strokes", "trainer", "assets", "tests", ".ci")]
    every = [file.relative_to(ROOT) for folder in folders for file in folder.rglob("*") if file.is_file()]
    files = [file for file in every if "__pycache__" not in file.parts]
    evened = Counter(normalize("NFC", file.as_posix()).casefold() for file in files)

    assert len(files) > 500
    assert [name for name, count in evened.items() if count > 1] == []
    parts = {part for file in files for part in file.parts}
    assert [part for part in parts if is_reserved(part) or set(part) & set('<>:"|?*\\')] == []
    assert [part for part in parts if part.endswith((".", " "))] == []


def test_a_letter_that_went_through_windows_is_the_same(tmp_path: Path) -> None:
    """Its lines end in CRLF then, as in a checkout there or after an editor."""
    file = ROOT / "assets" / "letters" / "print" / "k.svg"
    copy = tmp_path / "k.svg"
    copy.write_bytes(file.read_bytes().replace(b"\r\n", b"\n").replace(b"\n", b"\r\n"))

    assert repr(load_letter(copy)) == repr(load_letter(file))
