"""DEVELOPERS.md and the READMEs it leads to are true: every room is in the map, every program is there."""

from __future__ import annotations

import re
from pathlib import Path

import pytest

from tests.cases import for_each

ROOT = Path(__file__).parents[1]
TEXT = (ROOT / "DEVELOPERS.md").read_text(encoding="utf-8")
READMES = ("strokes/evaluation/README.md", "tests/benchmarks/README.md")
SHOWN = sorted(
    {
        program
        for name in ("DEVELOPERS.md", *READMES)
        for program in re.findall(
            r"-m ((?:tests|strokes|trainer)[.\w]*)", (ROOT / name).read_text(encoding="utf-8")
        )
    }
)


def rooms(package: str) -> set[str]:
    """A package and the rooms in it, by their dotted names."""
    return {package, *(f"{package}.{path.parent.name}" for path in (ROOT / package).glob("*/__init__.py"))}


@pytest.mark.parametrize("package", ["strokes", "trainer"])
def test_the_map_names_the_rooms_that_are_there_and_no_others(package: str) -> None:
    named = set(re.findall(rf"^\| `({package}[.\w]*)` \|", TEXT, flags=re.MULTILINE))

    assert named == rooms(package)


@for_each("program", SHOWN)
def test_a_program_that_is_shown_is_there(program: str) -> None:
    path = ROOT / program.replace(".", "/")

    assert (path / "__main__.py" if path.is_dir() else path.with_suffix(".py")).is_file()


@pytest.mark.parametrize("readme", READMES)
def test_the_figures_are_led_to(readme: str) -> None:
    assert f"`{readme}`" in TEXT


def test_it_is_short_enough_to_be_read() -> None:
    assert len(TEXT.encode()) <= 10_000
