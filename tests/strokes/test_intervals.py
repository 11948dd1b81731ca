"""Shares and their intervals."""

from __future__ import annotations

import pytest
from scipy.stats import binomtest

from strokes.intervals import Tally, wilson


@pytest.mark.parametrize(("good", "tries"), [(0, 1), (1, 1), (7, 10), (978, 1000), (0, 500), (16000, 16475)])
def test_wilsons_interval_is_that_of_a_reference_library(good: int, tries: int) -> None:
    """scipy.stats.binomtest, method wilson."""
    expected = binomtest(good, tries).proportion_ci(confidence_level=0.95, method="wilson")

    assert wilson(good, tries) == pytest.approx((expected.low, expected.high), abs=1e-12)


def test_no_tries_say_nothing() -> None:
    assert wilson(0, 0) == (0.0, 1.0)
    assert Tally().share.share == 0.0
    assert Tally().share.by_writer == 0.0


def test_a_writer_of_many_letters_weighs_as_much_as_one_of_few() -> None:
    tally = Tally()
    for good in [True] * 98 + [False] * 2:
        tally.add("many", good)
    for good in (True, False):
        tally.add("few", good)
    share = tally.share

    assert (share.good, share.tries, share.writers) == (99, 102, 2)
    assert share.share == pytest.approx(99 / 102)
    assert share.by_writer == pytest.approx((0.98 + 0.5) / 2)
