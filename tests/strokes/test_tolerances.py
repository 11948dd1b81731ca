"""Tolerances are positive numbers, and say so when they are not."""

from __future__ import annotations

from dataclasses import fields

import pytest

from strokes import ToleranceError, Tolerances


@pytest.mark.parametrize("name", [field.name for field in fields(Tolerances)])
@pytest.mark.parametrize("value", [0.0, -1.0, float("nan"), float("inf")])
def test_a_tolerance_that_is_no_positive_number_is_refused(name: str, value: float) -> None:
    with pytest.raises(ToleranceError, match=f"{name} must be above 0 and finite"):
        Tolerances(**{name: value})
