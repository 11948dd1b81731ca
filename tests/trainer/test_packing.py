import json
import zlib

import numpy as np
import pytest

from strokes.ink import Ink
from tests.trainer.samples import ink
from trainer.packing import UNIT, pack, unpack


def assert_same_ink(one: Ink, other: Ink) -> None:
    """The same traces, points and times, within half a unit."""
    assert len(one) == len(other)
    for first, second in zip(one.traces, other.traces, strict=True):
        np.testing.assert_allclose(first.points, second.points, atol=UNIT * 0.501)
        assert (first.times is None) == (second.times is None)
        if first.times is not None:
            np.testing.assert_allclose(first.times, second.times, atol=UNIT * 0.501)


@pytest.mark.parametrize(
    "written",
    [
        ink(traces=3, points=200),
        Ink(),
        Ink.from_arrays([[(0.5, -1.0)]], times=[[0.0]]),
        Ink.from_arrays([[(0.5, -1.0)] * 5]),
        Ink.from_arrays([[(-1234.5, 9876.5), (0.0, 0.0)]], times=[[3599.5, 3600.25]]),
    ],
    ids=["three traces", "no ink", "one point", "repeated points without times", "far away"],
)
def test_ink_comes_back_as_it_was_put_away(written):
    assert_same_ink(unpack(pack(written))[0], written)


def test_packing_a_second_time_changes_nothing():
    once = unpack(pack(ink(seed=4, traces=2)))[0]

    assert pack(once) == pack(ink(seed=4, traces=2))


def test_times_do_not_run_backwards_after_rounding():
    times = np.cumsum(np.full(300, 0.00004))
    written = Ink.from_arrays([np.zeros((300, 2))], times=[times])

    assert (np.diff(unpack(pack(written))[0].traces[0].times) >= 0).all()


def test_any_program_can_read_packed_ink():
    """The form that the docstring promises: JSON of whole units, each the step from the one before."""
    written = Ink.from_arrays([[(0.5, -1.0), (0.5, -0.9)]], times=[[0.0, 0.25]])

    assert json.loads(zlib.decompress(pack(written))) == {
        "unit": 0.0001,
        "traces": [[[5000, 0], [-10000, 1000], [0, 2500]]],
    }


def test_packed_ink_is_smaller_than_floats():
    written = ink(points=300)

    assert len(pack(written)) < 300 * 3 * 4 / 2


@pytest.mark.parametrize("packed", [b"", b"ink", zlib.compress(b"[1]"), zlib.compress(b'{"unit": 1}')])
def test_bytes_that_are_no_ink_are_refused(packed):
    with pytest.raises(ValueError, match="cannot be read"):
        unpack(packed)
