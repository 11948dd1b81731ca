"""The simulated hand: steady, repeatable, and faulty in the one way that is asked of it."""

from __future__ import annotations

import numpy as np
import pytest

from strokes import Kind, LetterError
from strokes.polyline import length, signed_area
from strokes.simulation.hand import RATE, Fault, write
from tests.cases import for_each
from tests.shipped import PRINT as ALPHABET


def test_the_same_seed_writes_the_same_ink_and_another_one_does_not() -> None:
    first, same, other = (write(ALPHABET["a"], seed=seed).traces[0].points for seed in (1, 1, 2))
    np.testing.assert_array_equal(first, same)
    assert first.shape != other.shape or not np.allclose(first, other)


def test_points_come_at_the_rate_of_a_touchscreen_and_time_never_runs_back() -> None:
    ink = write(ALPHABET["k"])
    stamps = np.concatenate([trace.times for trace in ink.traces if trace.times is not None])
    assert (np.diff(stamps) > 0).all()
    first = ink.traces[0].times
    assert first is not None
    assert np.diff(first).mean() == pytest.approx(1 / RATE, rel=0.1)


def test_without_tremor_the_hand_follows_the_letter() -> None:
    trace = write(ALPHABET["o"], tremor=0.0).traces[0].points
    model = ALPHABET["o"].taught.strokes[0].path
    assert length(trace) == pytest.approx(length(model), rel=0.02)
    assert signed_area(trace) == pytest.approx(signed_area(model), rel=0.02)


def test_a_backward_o_runs_the_other_way_round() -> None:
    assert signed_area(write(ALPHABET["o"]).traces[0].points) < 0
    assert signed_area(write(ALPHABET["o"], fault=Fault(Kind.DIRECTION)).traces[0].points) > 0


@for_each(
    ("name", "fault"),
    [
        ("o", Fault(Kind.ORDER)),
        ("o", Fault(Kind.MISSING)),
        ("o", Fault(Kind.JOIN)),
        ("l", Fault(Kind.CLOSURE)),
        ("i", Fault(Kind.START, 1)),
        ("o", Fault(Kind.DIRECTION, 3)),
        ("o", Fault(Kind.DIRECTION, 0, part=9)),
        ("o", Fault(Kind.LETTER)),
    ],
    ids=str,
)
def test_a_fault_that_a_letter_cannot_have_is_refused(name: str, fault: Fault) -> None:
    with pytest.raises(LetterError, match="must"):
        write(ALPHABET[name], fault=fault)
