"""Tolerances are positive numbers, and say so when they are not."""

from __future__ import annotations

from dataclasses import fields

import pytest

from strokes import ToleranceError, Tolerances
from tests.cases import for_each


@for_each("name", [field.name for field in fields(Tolerances)])
@for_each("value", [0.0, -1.0, float("nan"), float("inf")])
def test_a_tolerance_that_is_no_positive_number_is_refused(name: str, value: float) -> None:
    with pytest.raises(ToleranceError, match=f"{name} must be above 0 and finite"):
        Tolerances(**{name: value})


@pytest.mark.parametrize(("wider", "narrower"), [("first", "growing"), ("growing", "fluent")])
def test_a_later_stage_lets_nothing_through_that_an_earlier_one_tells(wider: str, narrower: str) -> None:
    early, late = Tolerances.of(wider), Tolerances.of(narrower)
    for field in fields(Tolerances):
        here, there = getattr(early, field.name), getattr(late, field.name)
        least = field.name in ("size_small", "reach")  # what must be reached, not what may be passed
        assert here <= there if least else here >= there, field.name
    assert early != late


def test_a_check_without_tolerances_is_of_the_middle_stage() -> None:
    assert Tolerances.of("growing") == Tolerances()


def test_a_stage_that_is_none_is_refused() -> None:
    with pytest.raises(ToleranceError, match="a stage must be one of first, growing, fluent, not 'strict'"):
        Tolerances.of("strict")
