"""The interval around a share of well formed letters against scipy's (Wilson 1927, JASA 22:209-212)."""

from __future__ import annotations

import pytest

from strokes.intervals import wilson
from tests.cases import for_each

CASES = [
    (good, tries)
    for tries in (1, 2, 3, 5, 10, 37, 400, 16475)
    for good in sorted({0, 1, tries // 2, tries - tries // 35, tries - 1, tries})
]


@for_each(("good", "tries"), CASES)
def test_the_interval_is_the_one_of_scipy(good: int, tries: int) -> None:
    from scipy.stats import binomtest  # half a second, in the process alone that comes to this test

    expected = binomtest(good, tries).proportion_ci(confidence_level=0.95, method="wilson")

    assert wilson(good, tries) == pytest.approx((expected.low, expected.high), abs=1e-12)
