import json
import zlib

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from strokes.errors import InkError
from strokes.ink import Ink, Trace
from tests.cases import for_each
from tests.trainer.samples import ink
from trainer.ink_codec import UNIT, pack, unpack


def assert_same_ink(actual: Ink, other: Ink) -> None:
    """The same traces, points and times, within half a unit."""
    assert len(actual) == len(other)
    for first, second in zip(actual.traces, other.traces, strict=True):
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


def assert_no_ink(packed: object) -> None:
    """They are refused as packed ink that cannot be read, and never as anything else."""
    with pytest.raises(ValueError, match="packed ink cannot be read: "):
        unpack(packed)  # type: ignore[arg-type]


@pytest.mark.parametrize(
    "packed", [b"", b"ink", "ink", 5, 0.5, pack(ink())[:-9], zlib.compress(b"\xff")], ids=repr
)
def test_bytes_that_are_no_ink_are_refused(packed):
    """SQLite gives back whatever was put into a row: text and numbers too."""
    assert_no_ink(packed)


@for_each(
    "content",
    [
        *("", "[1]", '"ink"', "null", "{", '{"unit": 1}', '{"traces": []}', "[" * 100_000),
        *(f'{{"unit": {unit}, "traces": []}}' for unit in ("null", '"1"', "[1]", "true", "0", "-1", "NaN")),
        *(f'{{"unit": {unit}, "traces": []}}' for unit in ("Infinity", "1e999", "1e300", "1" * 400)),
        *(f'{{"unit": 0.0001, "traces": {traces}}}' for traces in ("null", "5", '"abc"', '{"abc": 1}')),
        *(f'{{"unit": 0.0001, "traces": [{trace}]}}' for trace in ("null", "5", '"abc"', "[]", "[[1], [2]]")),
    ],
    ids=lambda content: content[:40],
)
def test_packed_json_that_is_no_ink_is_refused(content):
    assert_no_ink(zlib.compress(content.encode()))


AXES = [
    *("null", "5", '"12"', '{"1": 2}', "[]", '["1", "2"]', "[[1], [2]]", "[true, 2]", "[null, 2]"),
    *("[1.5, 2]", "[NaN, 2]", "[-Infinity, Infinity]", "[1e400, 2]", "[1]", "[1, 2, 3]"),
    *(f"[{2**62}, {2**62}]", f"[{10**400}, {-(10**400)}]", f"[{2**52}, 1]"),
]
"""What may not stand in the place of two whole numbers."""


@for_each(
    ("place", "axis"),
    [(place, axis) for place in range(3) for axis in AXES if (place, axis) != (2, "null")],  # no times: ink
    ids=lambda case: str(case)[:40],
)
def test_numbers_that_no_pen_can_write_are_refused(place, axis):
    """Huge ones too: sums of whole numbers run over without a word, and a fault becomes ink."""
    axes = ["[1, 2]"] * 3
    axes[place] = axis

    assert_no_ink(zlib.compress(f'{{"unit": 0.0001, "traces": [[{", ".join(axes)}]]}}'.encode()))


def test_times_that_run_backwards_are_refused():
    assert_no_ink(zlib.compress(b'{"unit": 0.0001, "traces": [[[1, 2], [1, 2], [5, -1]]]}'))


@for_each("shown", ["5", '"12"', "{}", "[null]", '["1"]', "[[0]]", "[true]", "[0.5]", "[-1]", "[1]"])
def test_a_shown_trace_that_is_not_there_is_refused(shown):
    assert_no_ink(
        zlib.compress(f'{{"unit": 0.0001, "traces": [[[1], [2], [3]]], "shown": {shown}}}'.encode())
    )


ODD = st.recursive(
    st.none() | st.booleans() | st.integers() | st.floats() | st.text(max_size=3) | st.just(10**400),
    lambda inner: st.lists(inner, max_size=3) | st.dictionaries(st.text(max_size=3), inner, max_size=2),
    max_leaves=6,
)


@settings(max_examples=400, deadline=None)
@given(st.data())
def test_ink_with_anything_in_any_place_of_it_is_ink_or_refused(data):
    """One value of the packed JSON, wherever it stands, is another one; what is read then is whole."""
    content = json.loads(zlib.decompress(pack(ink(traces=2, points=4), (1,))))
    holder, place = content, data.draw(st.sampled_from(sorted(content)))
    while isinstance(holder[place], list) and data.draw(st.booleans()):
        holder, place = holder[place], data.draw(st.sampled_from(range(len(holder[place]))))
    holder[place] = data.draw(ODD)
    packed = zlib.compress(json.dumps(content).encode())

    try:
        read, _ = unpack(packed)
    except ValueError as error:
        assert str(error).startswith("packed ink cannot be read: ")  # noqa: PT017
    else:
        assert all(np.isfinite(trace.points).all() for trace in read.traces)


@settings(max_examples=200, deadline=None)
@given(at=st.integers(0, 200), put_in=st.binary(max_size=3), size=st.integers(0, 5))
def test_ink_with_damaged_bytes_is_ink_or_refused(at, put_in, size):
    packed = pack(ink(traces=2, points=20), (1,))

    try:
        unpack(packed[:at] + put_in + packed[at + size :])
    except ValueError as error:
        assert str(error).startswith("packed ink cannot be read: ")  # noqa: PT017


@pytest.mark.parametrize(
    ("points", "times"),
    [([[0, 1e15]], None), ([[-1e12, 0]], None), ([[0, 0]], [1e15]), ([[0, 0], [1, 1]], [-1e15, 0.0])],
    ids=repr,
)
def test_ink_that_would_not_read_back_is_not_packed(points, times):
    with pytest.raises(InkError, match="must lie within"):
        pack(Ink.from_arrays([points], None if times is None else [times]))


def test_more_ink_than_an_hour_of_writing_is_not_packed():
    walk = np.cumsum(np.random.default_rng(0).integers(-900, 900, size=(1_200_000, 2)), axis=0) * UNIT

    with pytest.raises(InkError, match="must have at most 8388608 bytes"):
        pack(Ink.from_arrays([walk]))


@given(
    st.lists(st.tuples(st.floats(-1e15, 1e15), st.floats(-1e15, 1e15)), min_size=1, max_size=4),
    st.floats(-1e15, 1e15),
)
def test_what_is_packed_reads_back(points, begins):
    try:
        packed = pack(Ink.from_arrays([points], [np.full(len(points), begins)]))
    except InkError:
        return
    read = unpack(packed)[0].traces[0]
    np.testing.assert_allclose(read.points, points, atol=UNIT, rtol=1e-15)
    np.testing.assert_allclose(read.times, begins, atol=UNIT, rtol=1e-15)


def test_pressure_and_tilt_come_back_for_the_traces_that_have_them():
    """A finger and a pen in one letter; what an older version wrote has neither."""
    place = np.zeros((3, 2))
    pen = Trace(place, None, np.array([0.0, 0.4567, 1.0]), np.array([[-90, 0], [12.4, 90], [0, 3]]))
    read, _ = unpack(pack(Ink((Trace(place), pen))))

    assert (read.traces[0].pressure, read.traces[0].tilt) == (None, None)
    np.testing.assert_allclose(read.traces[1].pressure, [0.0, 0.457, 1.0], atol=1e-9)
    np.testing.assert_allclose(read.traces[1].tilt, [[-90, 0], [12, 90], [0, 3]])


@for_each(
    "more",
    [
        {"pressure": []},
        {"pressure": [[0]]},
        {"pressure": [[0, 2000]]},
        {"pressure": [[0, -1]]},
        {"pressure": [["0", 1]]},
        {"tilt": [[[0, 1]]]},
        {"tilt": [[[0, 1], [0, 91]]]},
        {"tilt": 3},
    ],
    ids=str,
)
def test_pressure_and_tilt_that_cannot_be_are_refused(more):
    content = {"unit": UNIT, "traces": [[[0, 1], [0, 1], None]]} | more
    assert_no_ink(zlib.compress(json.dumps(content).encode()))
