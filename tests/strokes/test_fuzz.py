"""A few of the random inks that `python -m tests.fuzz` judges by the hundred thousand."""

from __future__ import annotations

import pytest

from tests.fuzz import run


@pytest.mark.parametrize("seed", [1, 2])
def test_no_ink_raises_an_error_that_is_not_ours(seed: int) -> None:
    refused = run(60, seed)

    assert refused.total() == 60
    assert refused[""] > 50
