"""`strokes.warping` against two libraries written apart from it: dtw-python and dtaidistance.

dtw-python (T. Giorgino 2009, Journal of Statistical Software 31(7)) with the step pattern symmetric1 adds
up the local costs unweighted; dtaidistance gives the root of the sum of squared distances. Both are asked
for the same squared Euclidean local cost.
"""

from __future__ import annotations

import numpy as np
import pytest
import shapely
from dtw import dtw
from scipy.spatial.distance import cdist

from strokes.polyline import Polyline, resample
from strokes.warping import pairs as warping
from tests.cases import for_each

SEEDS = range(8)


def curve(seed: int, count: int = 64) -> Polyline:
    """A smooth random path of about the size of a letter."""
    walk = np.random.default_rng(seed).normal(scale=0.3, size=(9, 2)).cumsum(axis=0)
    return resample(walk, count)


def by_dtw_python(a: Polyline, b: Polyline) -> tuple[float, np.ndarray]:
    theirs = dtw(cdist(a, b, "sqeuclidean"), step_pattern="symmetric1")
    return float(theirs.distance), np.column_stack([theirs.index1, theirs.index2])


def by_dtaidistance(a: Polyline, b: Polyline, **options: int) -> float:
    """Its C code, squared back to a sum. Skips where it is not installed (pyproject.toml says where)."""
    dtw_ndim = pytest.importorskip("dtaidistance.dtw_ndim")
    return float(dtw_ndim.distance(a, b, use_c=True, **options)) ** 2


@for_each("seed", SEEDS)
def test_one_pair_costs_what_dtw_python_says(seed: int) -> None:
    a, b = curve(seed), curve(seed + 100)

    assert warping.distance(a, b) == pytest.approx(by_dtw_python(a, b)[0], abs=1e-9)


@for_each("seed", SEEDS)
def test_one_pair_costs_what_dtaidistance_says(seed: int) -> None:
    a, b = curve(seed), curve(seed + 100)

    assert warping.distance(a, b) == pytest.approx(by_dtaidistance(a, b), abs=1e-9)


@pytest.mark.parametrize("lengths", [(64, 40), (12, 64), (2, 9)])
def test_lines_of_unequal_length_cost_the_same_as_with_both(lengths: tuple[int, int]) -> None:
    a, b = (curve(seed, count) for seed, count in enumerate(lengths))

    assert warping.distance(a, b) == pytest.approx(by_dtw_python(a, b)[0], abs=1e-9)
    assert warping.distance(a, b) == pytest.approx(by_dtaidistance(a, b), abs=1e-9)


@for_each("band", [0, 1, 6, 20, 63])
@for_each("seed", SEEDS[:3])
def test_a_band_costs_what_both_say(seed: int, band: int) -> None:
    """A window of r + 1 there is a band of r here; dtw-python calls it a Sakoe-Chiba band of r."""
    a, b = curve(seed), curve(seed + 100)
    options = {"window_type": "sakoechiba", "window_args": {"window_size": band}}
    cost = dtw(cdist(a, b, "sqeuclidean"), step_pattern="symmetric1", **options).distance

    ours = warping.distance(a, b, band=band)

    assert ours == pytest.approx(float(cost), abs=1e-9)
    assert ours == pytest.approx(by_dtaidistance(a, b, window=band + 1), abs=1e-9)


@for_each("lengths", [(64, 40), (12, 64), (9, 10)])
@for_each("band", [0, 2, 9])
def test_a_band_of_lines_of_unequal_length_is_the_one_of_dtaidistance(
    lengths: tuple[int, int], band: int
) -> None:
    """It gives the longer line as much more room as it is longer, as we do."""
    a, b = (curve(seed, count) for seed, count in enumerate(lengths))
    theirs = by_dtaidistance(a, b, window=band + 1)

    assert warping.distance(a, b, band=band) == pytest.approx(theirs, abs=1e-9)


@for_each("seed", SEEDS)
def test_the_path_is_the_one_of_dtw_python(seed: int) -> None:
    """Random curves have one cheapest path, so that both must find the same."""
    a, b = curve(seed), curve(seed + 100)
    cost, steps = by_dtw_python(a, b)

    ours, path = warping.path(a, b)

    assert ours == pytest.approx(cost, abs=1e-9)
    np.testing.assert_array_equal(path, steps)


@for_each("seed", SEEDS)
def test_the_local_costs_along_the_path_add_up_to_what_dtaidistance_says(seed: int) -> None:
    a, b = curve(seed), curve(seed + 100)

    _, path = warping.path(a, b)

    assert cdist(a, b, "sqeuclidean")[path[:, 0], path[:, 1]].sum() == pytest.approx(
        by_dtaidistance(a, b), abs=1e-9
    )


@pytest.mark.parametrize("compiled", [False, True], ids=["numpy", "lanes"])
def test_many_pairs_at_once_cost_what_both_say_of_each(compiled: bool) -> None:
    assert warping.use_lanes(compiled) is compiled
    a = np.stack([curve(seed) for seed in range(30)])
    b = np.stack([curve(seed + 100) for seed in range(30)])

    together = warping.distances(a, b)

    assert together == pytest.approx([by_dtw_python(*pair)[0] for pair in zip(a, b, strict=True)], abs=1e-9)
    assert together == pytest.approx([by_dtaidistance(*pair) for pair in zip(a, b, strict=True)], abs=1e-9)


@for_each("seed", SEEDS)
def test_no_path_is_tighter_than_the_frechet_and_hausdorff_distances_of_shapely(seed: int) -> None:
    """The widest step of any warping path ≥ the discrete Fréchet distance ≥ the Hausdorff distance."""
    a, b = curve(seed), curve(seed + 100)
    line, other = shapely.LineString(a), shapely.LineString(b)

    _, path = warping.path(a, b)
    widest = np.hypot(*(a[path[:, 0]] - b[path[:, 1]]).T).max()

    assert widest >= shapely.frechet_distance(line, other) - 1e-12
    assert shapely.frechet_distance(line, other) >= shapely.hausdorff_distance(line, other) - 1e-12
