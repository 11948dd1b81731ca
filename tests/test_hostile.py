"""A sample of what `python -m tests.hostile` does by the hundred thousand."""

from __future__ import annotations

import warnings
from collections import Counter

import numpy as np

from tests.hostile.inks import attack


def test_odd_ink_is_judged_alike_at_every_place_and_size_or_refused() -> None:
    answers = Counter[str]()
    with warnings.catch_warnings():
        warnings.simplefilter("error")
        for number in range(25):
            answers[attack(np.random.default_rng(number))] += 1

    assert answers[""] > 15
