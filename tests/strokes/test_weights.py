"""The weights are positive numbers, each in use, and nobody changes them by the way."""

from __future__ import annotations

import re
from dataclasses import FrozenInstanceError, fields
from math import isfinite
from pathlib import Path

import pytest

import strokes
from strokes.weights import WEIGHTS, Weights
from tests.cases import for_each

NAMES = [field.name for field in fields(Weights)]


@for_each("name", NAMES)
def test_a_weight_is_a_positive_number(name: str) -> None:
    value = getattr(WEIGHTS, name)

    assert isfinite(value)
    assert value > 0


def test_every_weight_is_in_use() -> None:
    code = "".join(path.read_text(encoding="utf-8") for path in Path(strokes.__file__).parent.rglob("*.py"))

    assert [name for name in NAMES if f"WEIGHTS.{name}" not in code] == []


def test_a_weight_has_its_unit_and_reason_in_a_comment_above_it_or_its_group() -> None:
    lines = (Path(strokes.__file__).parent / "weights.py").read_text(encoding="utf-8").splitlines()
    for name in NAMES:
        place = next(k for k, line in enumerate(lines) if line.startswith(f"    {name}: "))
        while re.match(r"    \w+: ", lines[place]):  # the fields of a group stand under one comment
            place -= 1
        assert lines[place].startswith("    # "), name
        assert "---" not in lines[place], name


def test_weights_cannot_be_set() -> None:
    with pytest.raises(FrozenInstanceError):
        WEIGHTS.missing_cost = 0.5  # type: ignore[misc]
