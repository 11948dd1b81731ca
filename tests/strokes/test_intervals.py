"""Shares and their intervals."""

from __future__ import annotations

import pytest

from strokes.intervals import Tally, wilson


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
