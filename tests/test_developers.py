"""DEVELOPERS.md is true: every module has its place in the map, and no place is empty."""

from __future__ import annotations

import re
from pathlib import Path

import pytest

ROOT = Path(__file__).parents[1]
TEXT = (ROOT / "DEVELOPERS.md").read_text(encoding="utf-8")


def mapped(folder: str) -> set[str]:
    """The modules that the table of one folder names in its first column."""
    table = re.search(rf"^\| `{folder}` \|.*\n\|---\|---\|\n((?:\|.*\n)+)", TEXT, flags=re.MULTILINE)
    assert table is not None
    return {name for row in table[1].splitlines() for name in re.findall(r"`(\w+)`", row.split("|")[1])}


@pytest.mark.parametrize("folder", ["strokes", "trainer", "trainer/desk", "trainer/scenes"])
def test_the_map_names_the_modules_that_are_there_and_no_others(folder: str) -> None:
    there = {path.stem for path in (ROOT / folder).glob("*.py")} - {"__init__"}

    assert mapped(folder) == there


@pytest.mark.parametrize("module", sorted(set(re.findall(r"-m (tests[.\w]+)", TEXT))))
def test_a_program_that_is_shown_is_there(module: str) -> None:
    assert (ROOT / f"{module.replace('.', '/')}.py").is_file()
