"""Lines at a writer's usual x-height, and letters that miss them."""

from __future__ import annotations

import numpy as np
import pytest

from strokes.evaluation.ruled import (
    LEFT_OUT,
    begun_later,
    floating,
    left_early,
    lines_for,
    pressed,
    resized,
    usual_x_height,
)
from strokes.polyline import bounds, length
from tests.cases import for_each
from tests.shipped import PRINT as ALPHABET


def traces(letter: str, size: float = 40.0) -> tuple[np.ndarray[tuple[int, int], np.dtype[np.float64]], ...]:
    """The letter as taught, `size` units an x-height, its base line at 100."""
    return tuple(stroke.path * size + (0.0, 100.0) for stroke in ALPHABET[letter].taught.strokes)


def test_the_usual_x_height_is_the_median_of_the_small_letters() -> None:
    """Ascenders, descenders and an i with its dot say nothing of it."""
    written = [("o", 38.0), ("n", 40.0), ("e", 55.0), ("h", 90.0), ("g", 10.0), ("i", 10.0)]
    inks = [(letter, traces(letter, size)) for letter, size in written]

    assert usual_x_height(inks) == pytest.approx(40.0, rel=0.03)
    assert usual_x_height(inks[3:]) is None


@for_each("letter", "acehntgjpqy")
def test_a_letter_as_taught_keeps_its_lines(letter: str) -> None:
    lines = lines_for(letter, traces(letter), 40.0)

    assert lines.baseline == pytest.approx(100.0, abs=2.0)
    assert lines.x_height == pytest.approx(60.0, abs=2.0)


def test_letters_that_miss_their_lines() -> None:
    lines = lines_for("h", traces("h"), 40.0)
    (small,), (large,) = (resized(traces("h"), lines, factor) for factor in (0.5, 2.0))

    assert bounds(small)[1::2] == pytest.approx((60.0, 100.0))
    assert bounds(large)[1::2] == pytest.approx((-60.0, 100.0))
    assert bounds(pressed(traces("h"), lines)[0])[1::2] == pytest.approx((50.0, 100.0))
    assert bounds(floating(traces("h"), lines)[0])[1::2] == pytest.approx((0.0, 80.0))


def test_pressing_keeps_what_is_between_the_lines() -> None:
    lines = lines_for("c", traces("c"), 50.0)
    (same,) = pressed(traces("c"), lines)

    assert same == pytest.approx(traces("c")[0])


def test_a_trace_left_early_and_a_stem_begun_lower() -> None:
    (whole,) = traces("m")
    early, lower = left_early("m", (whole,), 40.0), begun_later((whole,), 0.8, 40.0)
    assert early is not None
    assert lower is not None

    assert length(early[0]) == pytest.approx(length(whole) - 40 * LEFT_OUT)
    assert early[0][0].tolist() == whole[0].tolist()
    assert length(lower[0]) == pytest.approx(length(whole) - 40 * 0.8)
    assert lower[0][-1].tolist() == whole[-1].tolist()


def test_of_a_short_trace_nothing_would_be_left() -> None:
    stem, dot = traces("i")
    assert begun_later((stem, dot), 1.0, 40.0) is None
    assert left_early("i", (stem, dot), 80.0) is None


def test_the_dot_of_an_i_is_not_what_is_left_early() -> None:
    stem, dot = traces("i")
    early = left_early("i", (stem, dot), 40.0)
    assert early is not None

    assert early[1] is dot
    assert length(early[0]) == pytest.approx(length(stem) - 40 * LEFT_OUT)
