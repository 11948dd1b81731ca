"""Warping: against the plain definition, at the edges, and pair by pair as in a batch."""

from __future__ import annotations

from concurrent.futures import ThreadPoolExecutor

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from strokes.errors import InkError
from strokes.warping import pairs as warping
from tests.cases import for_each


def by_definition(a: np.ndarray, b: np.ndarray, band: int | None = None) -> float:
    """The table cell by cell, as Sakoe and Chiba (1978) define it with weight one on every step.

    The longer line has as much more room as it is longer.
    """
    band = len(a) + len(b) if band is None else band
    below, above = band + max(0, len(a) - len(b)), band + max(0, len(b) - len(a))
    table = np.full((len(a) + 1, len(b) + 1), np.inf)
    table[0, 0] = 0.0
    for i, p in enumerate(a):
        for j, q in enumerate(b):
            best = min(table[i, j], table[i + 1, j], table[i, j + 1])
            if -below <= j - i <= above:
                table[i + 1, j + 1] = ((p - q) ** 2).sum() + best
    return float(table[-1, -1])


@pytest.mark.parametrize(("n", "m"), [(1, 1), (1, 6), (6, 1), (5, 5), (3, 7), (7, 3), (20, 33)])
def test_a_batch_costs_what_the_definition_says(n: int, m: int) -> None:
    random = np.random.default_rng(n * 100 + m)
    a, b = random.normal(size=(4, n, 3)), random.normal(size=(4, m, 3))
    wanted = [by_definition(p, q) for p, q in zip(a, b, strict=True)]
    np.testing.assert_allclose(warping.distances(a, b), wanted, rtol=1e-12)


@for_each("band", [0, 1, 2, 5, 40])
@for_each(("n", "m"), [(1, 1), (1, 6), (6, 1), (5, 5), (3, 7), (7, 3), (20, 20), (20, 33)])
def test_a_banded_batch_costs_what_the_definition_says(n: int, m: int, band: int) -> None:
    random = np.random.default_rng(n * 100 + m)
    a, b = random.normal(size=(4, n, 2)), random.normal(size=(4, m, 2))
    wanted = [by_definition(p, q, band) for p, q in zip(a, b, strict=True)]
    np.testing.assert_allclose(warping.distances(a, b, band=band), wanted, rtol=1e-12)
    np.testing.assert_allclose(warping.paths(a, b, band=band)[0], wanted, rtol=1e-12)


@pytest.mark.parametrize("pairs", [1, 2, 9, 300, 1100])
def test_a_batch_of_any_size_costs_what_its_pairs_cost(pairs: int) -> None:
    """Long batches go over the same room in chunks, the last of them half empty."""
    random = np.random.default_rng(pairs)
    a, b = random.normal(size=(pairs, 32, 4)), random.normal(size=(pairs, 32, 4))
    together = warping.distances(a, b)
    for pair in {0, pairs // 2, pairs - 1}:
        assert together[pair] == pytest.approx(by_definition(a[pair], b[pair]), rel=1e-12)


def test_a_table_has_every_line_with_every_other() -> None:
    random = np.random.default_rng(4)
    a, b = random.normal(size=(5, 8, 2)), random.normal(size=(7, 10, 2))
    wanted = [[by_definition(p, q) for q in b] for p in a]
    np.testing.assert_allclose(warping.table(a, b), wanted, rtol=1e-12)
    assert warping.table(a[:0], b).shape == (0, 7)


def test_pairs_may_be_picked_by_their_indices() -> None:
    random = np.random.default_rng(4)
    a, b = random.normal(size=(5, 8, 2)), random.normal(size=(7, 10, 2))
    rows, columns = np.array([4, 0, 4, 2]), np.array([6, 6, 1, 0])
    costs = warping.distances(a, b, which=(rows, columns))
    assert costs.tolist() == warping.table(a, b)[rows, columns].tolist()


def test_a_path_stays_inside_its_band() -> None:
    random = np.random.default_rng(8)
    a, b = random.normal(size=(30, 2)), random.normal(size=(30, 2))
    _, way = warping.path(a, b, band=3)
    assert np.abs(way[:, 0] - way[:, 1]).max() <= 3


@settings(max_examples=30)
@given(st.integers(1, 15), st.integers(1, 15), st.integers(0, 10**6))
def test_a_band_only_ever_costs_more_and_a_wide_one_nothing(n: int, m: int, seed: int) -> None:
    random = np.random.default_rng(seed)
    a, b = random.normal(size=(n, 2)), random.normal(size=(m, 2))
    costs = [warping.distance(a, b, band=band) for band in range(15)]
    assert costs == sorted(costs, reverse=True)
    assert costs[-1] == warping.distance(a, b)


def test_a_band_below_nothing_is_refused() -> None:
    with pytest.raises(InkError, match="band must be 0 or more samples to each side, not -1"):
        warping.distance(np.zeros((3, 2)), np.zeros((3, 2)), band=-1)


def test_threads_do_not_write_into_each_others_tables() -> None:
    random = np.random.default_rng(9)
    batches = [(random.normal(size=(50, 32, 4)), random.normal(size=(50, 32, 4))) for _ in range(12)]
    with ThreadPoolExecutor(4) as threads:
        together = list(threads.map(lambda batch: warping.distances(*batch), batches))
    for costs, batch in zip(together, batches, strict=True):
        assert costs.tolist() == warping.distances(*batch).tolist()


def test_a_huge_line_leaves_nothing_behind_for_the_next() -> None:
    """Room is used again: an overflow there would be a warning in a call that has none."""
    with np.errstate(over="ignore"):
        warping.distances(np.full((8, 6, 2), 1e200), np.zeros((8, 6, 2)))
    assert warping.distances(np.ones((7, 6, 2)), np.zeros((7, 6, 2))).tolist() == [12.0] * 7


@pytest.mark.parametrize(("n", "m"), [(1, 1), (1, 4), (4, 1), (9, 9), (6, 11)])
def test_the_path_runs_from_end_to_end_and_adds_up_to_the_cost(n: int, m: int) -> None:
    random = np.random.default_rng(7)
    a, b = random.normal(size=(n, 2)), random.normal(size=(m, 2))
    cost, way = warping.path(a, b)
    assert way[0].tolist() == [0, 0]
    assert way[-1].tolist() == [n - 1, m - 1]
    steps = np.diff(way, axis=0)
    assert ((steps >= 0) & (steps <= 1)).all()
    assert (steps.sum(axis=1) > 0).all()
    assert cost == pytest.approx(float(((a[way[:, 0]] - b[way[:, 1]]) ** 2).sum()))


def test_a_line_costs_nothing_on_itself_however_fast_it_was_drawn() -> None:
    line = np.array([[0.0, 0.0], [1.0, 0.0], [1.0, 2.0]])
    slow = np.repeat(line, 5, axis=0)
    assert warping.distance(line, slow) == 0.0


@settings(max_examples=50)
@given(st.integers(1, 12), st.integers(1, 12), st.integers(1, 9), st.integers(0, 10**6))
def test_a_batch_is_its_pairs_one_by_one_bit_for_bit(n: int, m: int, pairs: int, seed: int) -> None:
    random = np.random.default_rng(seed)
    a, b = random.normal(size=(pairs, n, 4)), random.normal(size=(pairs, m, 4))
    together = warping.distances(a, b)
    apart = [warping.distance(p, q) for p, q in zip(a, b, strict=True)]
    assert together.tolist() == apart
    assert warping.paths(a, b)[0].tolist() == apart


@settings(max_examples=50)
@given(st.integers(1, 12), st.integers(1, 12), st.none() | st.integers(0, 6), st.integers(0, 10**6))
def test_both_lines_run_backwards_or_exchanged_or_moved_cost_the_same(
    n: int, m: int, band: int | None, seed: int
) -> None:
    random = np.random.default_rng(seed)
    a, b = random.normal(size=(n, 2)), random.normal(size=(m, 2))
    cost = pytest.approx(warping.distance(a, b, band=band), rel=1e-9)
    assert warping.distance(a[::-1], b[::-1], band=band) == cost
    assert warping.distance(b, a, band=band) == cost
    assert warping.distance(a + (3.0, -2.0), b + (3.0, -2.0), band=band) == cost


def test_an_empty_batch_has_no_costs() -> None:
    assert warping.distances(np.zeros((0, 3, 2)), np.zeros((0, 3, 2))).shape == (0,)
    assert warping.paths(np.zeros((0, 3, 2)), np.zeros((0, 3, 2)))[1] == []


@pytest.mark.parametrize(
    ("a", "b"), [((2, 3, 2), (3, 3, 2)), ((2, 3, 2), (2, 3, 1)), ((1, 0, 2), (1, 3, 2))], ids=str
)
def test_batches_that_do_not_go_together_are_refused(a: tuple[int, ...], b: tuple[int, ...]) -> None:
    with pytest.raises(InkError, match="must"):
        warping.distances(np.zeros(a), np.zeros(b))
