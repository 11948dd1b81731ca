"""Warping: against the plain definition, at the edges, and pair by pair as in a batch."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from strokes import warping
from strokes.errors import InkError


def by_definition(a: np.ndarray, b: np.ndarray) -> float:
    """The table cell by cell, as Sakoe and Chiba (1978) define it with weight one on every step."""
    table = np.full((len(a) + 1, len(b) + 1), np.inf)
    table[0, 0] = 0.0
    for i, p in enumerate(a):
        for j, q in enumerate(b):
            best = min(table[i, j], table[i + 1, j], table[i, j + 1])
            table[i + 1, j + 1] = ((p - q) ** 2).sum() + best
    return float(table[-1, -1])


@pytest.mark.parametrize(("n", "m"), [(1, 1), (1, 6), (6, 1), (5, 5), (3, 7), (7, 3), (20, 33)])
def test_a_batch_costs_what_the_definition_says(n: int, m: int) -> None:
    random = np.random.default_rng(n * 100 + m)
    a, b = random.normal(size=(4, n, 3)), random.normal(size=(4, m, 3))
    wanted = [by_definition(p, q) for p, q in zip(a, b, strict=True)]
    np.testing.assert_allclose(warping.distances(a, b), wanted, rtol=1e-12)


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


@settings(max_examples=50, deadline=None)
@given(st.integers(1, 12), st.integers(1, 12), st.integers(1, 9), st.integers(0, 10**6))
def test_a_batch_is_its_pairs_one_by_one_bit_for_bit(n: int, m: int, pairs: int, seed: int) -> None:
    random = np.random.default_rng(seed)
    a, b = random.normal(size=(pairs, n, 4)), random.normal(size=(pairs, m, 4))
    together = warping.distances(a, b)
    apart = [warping.distance(p, q) for p, q in zip(a, b, strict=True)]
    assert together.tolist() == apart
    assert warping.paths(a, b)[0].tolist() == apart


def test_both_lines_run_backwards_cost_the_same() -> None:
    random = np.random.default_rng(3)
    a, b = random.normal(size=(9, 2)), random.normal(size=(14, 2))
    assert warping.distance(a, b) == pytest.approx(warping.distance(a[::-1], b[::-1]))


def test_an_empty_batch_has_no_costs() -> None:
    assert warping.distances(np.zeros((0, 3, 2)), np.zeros((0, 3, 2))).shape == (0,)
    assert warping.paths(np.zeros((0, 3, 2)), np.zeros((0, 3, 2)))[1] == []


@pytest.mark.parametrize(
    ("a", "b"), [((2, 3, 2), (3, 3, 2)), ((2, 3, 2), (2, 3, 1)), ((1, 0, 2), (1, 3, 2))], ids=str
)
def test_batches_that_do_not_go_together_are_refused(a: tuple[int, ...], b: tuple[int, ...]) -> None:
    with pytest.raises(InkError, match="must"):
        warping.distances(np.zeros(a), np.zeros(b))
