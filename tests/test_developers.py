"""DEVELOPERS.md is true: every room has its place in the map, and no place is empty."""

from __future__ import annotations

import re
from pathlib import Path

import pytest

ROOT = Path(__file__).parents[1]
TEXT = (ROOT / "DEVELOPERS.md").read_text(encoding="utf-8")


def rooms(package: str) -> set[str]:
    """A package and the rooms in it, by their dotted names."""
    return {package, *(f"{package}.{path.parent.name}" for path in (ROOT / package).glob("*/__init__.py"))}


@pytest.mark.parametrize("package", ["strokes", "trainer"])
def test_the_map_names_the_rooms_that_are_there_and_no_others(package: str) -> None:
    named = set(re.findall(rf"^\| `({package}[.\w]*)` \|", TEXT, flags=re.MULTILINE))

    assert named == rooms(package)


@pytest.mark.parametrize("module", sorted(set(re.findall(r"-m (tests[.\w]+)", TEXT))))
def test_a_program_that_is_shown_is_there(module: str) -> None:
    assert (ROOT / f"{module.replace('.', '/')}.py").is_file()
