"""strokes/README.md shows each public name once, in examples that run."""

from __future__ import annotations

import doctest
from pathlib import Path

import strokes

README = Path(strokes.__file__).with_name("README.md")


def test_the_examples_run_and_give_what_they_show() -> None:
    outcome = doctest.testfile(str(README), module_relative=False, encoding="utf-8")

    assert outcome.attempted > 20
    assert outcome.failed == 0


def test_every_public_name_is_there() -> None:
    text = README.read_text(encoding="utf-8")

    assert [name for name in strokes.__all__ if name not in text] == []
