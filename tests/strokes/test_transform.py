"""Maps between spaces: there, back, and one after another."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from strokes.errors import InkError
from strokes.polyline import as_polyline
from strokes.transform import Transform

LINE = as_polyline([(0, 0), (1, 2), (-3, 4)])
SCALES = st.floats(0.01, 100) | st.floats(-100, -0.01)
TRANSFORMS = st.builds(Transform, SCALES, SCALES, st.floats(-1000, 1000), st.floats(-1000, 1000))


def test_scale_comes_before_shift():
    assert Transform(2, 3, 10, 20).apply(LINE).tolist() == [[10, 20], [12, 26], [4, 32]]


def test_without_arguments_nothing_moves():
    assert Transform().apply(LINE).tolist() == LINE.tolist()


def test_the_line_handed_in_is_not_changed():
    Transform(2, 2).apply(LINE)

    assert LINE[1].tolist() == [1, 2]


def test_a_negative_scale_mirrors():
    assert Transform(scale_x=-1).apply(LINE)[:, 0].tolist() == [0, -1, 3]


@given(TRANSFORMS)
def test_there_and_back_is_where_it_was(transform):
    np.testing.assert_allclose(transform.inverse().apply(transform.apply(LINE)), LINE, atol=1e-8)


@given(TRANSFORMS, TRANSFORMS)
def test_two_as_one_are_the_two_in_turn(first, second):
    together = first.then(second).apply(LINE)

    np.testing.assert_allclose(together, second.apply(first.apply(LINE)), rtol=1e-9, atol=1e-6)


@pytest.mark.parametrize(
    "values", [(0, 1, 0, 0), (1, 0, 0, 0), (np.nan, 1, 0, 0), (1, 1, np.inf, 0), (1, 1, 0, -np.inf)]
)
def test_what_flattens_or_is_not_finite_is_refused(values):
    with pytest.raises(InkError, match="must be finite and must not flatten"):
        Transform(*values)
