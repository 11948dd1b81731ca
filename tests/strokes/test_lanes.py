"""The compiled lanes: the same answers as plain numpy, and nothing lost without them."""

from __future__ import annotations

import subprocess
import sys
from collections.abc import Callable
from pathlib import Path

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from strokes.warping import pairs as warping
from tests.waiting import HANG

ROOT = Path(__file__).parents[2]


def both(call: str, *given: object, **options: object) -> tuple[np.ndarray, np.ndarray]:
    """What numpy says and what the lanes say."""
    warping.use_lanes(False)
    plain = getattr(warping, call)(*given, **options)
    assert warping.use_lanes(True), "numba belongs to the extra dev"
    return plain, getattr(warping, call)(*given, **options)


@settings(max_examples=60)
@given(
    n=st.integers(1, 12),
    m=st.integers(1, 12),
    features=st.integers(1, 5),
    pairs=st.integers(1, 60),
    band=st.none() | st.integers(0, 14),
    seed=st.integers(0, 10**6),
)
def test_lanes_say_what_numpy_says(
    n: int, m: int, features: int, pairs: int, band: int | None, seed: int
) -> None:
    random = np.random.default_rng(seed)
    a, b = random.normal(size=(pairs, n, features)), random.normal(size=(pairs, m, features))

    plain, compiled = both("distances", a, b, band=band)

    np.testing.assert_allclose(compiled, plain, rtol=0, atol=1e-9)


@settings(max_examples=60)
@given(
    counts=st.tuples(st.integers(0, 20), st.integers(1, 20)),
    n=st.integers(1, 12),
    m=st.integers(1, 12),
    features=st.integers(1, 5),
    band=st.none() | st.integers(0, 14),
    seed=st.integers(0, 10**6),
)
def test_a_whole_table_is_the_same_from_both(
    counts: tuple[int, int], n: int, m: int, features: int, band: int | None, seed: int
) -> None:
    random = np.random.default_rng(seed)
    a, b = random.normal(size=(counts[0], n, features)), random.normal(size=(counts[1], m, features))

    plain, compiled = both("table", a, b, band=band)

    assert compiled.shape == counts
    np.testing.assert_allclose(compiled, plain, rtol=0, atol=1e-9)


def test_pairs_picked_by_index_are_the_same_from_both() -> None:
    random = np.random.default_rng(5)
    a, b = random.normal(size=(7, 20, 4)), random.normal(size=(9, 20, 4))
    which = random.integers(0, 7, 50), random.integers(0, 9, 50)

    plain, compiled = both("distances", a, b, which=which)

    np.testing.assert_allclose(compiled, plain, rtol=0, atol=1e-9)


def test_lines_that_must_not_be_changed_are_left_alone_and_warped() -> None:
    random = np.random.default_rng(6)
    a, b = random.normal(size=(30, 9, 2)), random.normal(size=(30, 9, 2))
    a.flags.writeable = False

    plain, compiled = both("distances", a, b)

    np.testing.assert_allclose(compiled, plain, rtol=0, atol=1e-9)


def run(code: str) -> list[str]:
    """The lines printed by another Python that has imported nothing yet."""
    done = subprocess.run(
        [sys.executable, "-c", code], capture_output=True, text=True, cwd=ROOT, timeout=HANG
    )
    assert done.returncode == 0, done.stderr
    return done.stdout.splitlines()


def test_a_letter_is_checked_without_numba() -> None:
    """Its import takes longer than many checks."""
    code = (
        "import sys; from strokes import Alphabet, check, identify; from strokes.simulation import write\n"
        "alphabet = Alphabet.load(); ink = write(alphabet['a'], seed=1)\n"
        "check(ink, alphabet['a']); identify(ink, alphabet); print('numba' in sys.modules)"
    )

    assert run(code)[-1] == "False"


def test_without_numba_the_answers_come_from_numpy() -> None:
    code = (
        "import sys; sys.modules['numba'] = None\n"  # importing it fails from now on
        "import numpy as np; from strokes import warping\n"
        "print(warping.use_lanes(True))\n"
        "print(warping.distances(np.zeros((40, 5, 2)), np.ones((40, 5, 2))).tolist() == [10.0] * 40)"
    )

    assert run(code) == ["False", "True"]


def _no_room(*_: object) -> None:
    raise OSError(28, "No space left on device")


@pytest.mark.parametrize(
    ("name", "broken"),
    [
        ("CacheImpl._locator_classes", []),  # no folder to keep compiled code in
        ("IndexDataCacheFile.save", _no_room),  # or one that is full
    ],
)
def test_lanes_work_where_compiled_code_cannot_be_kept(
    name: str, broken: object, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """With a kernel that is compiled in no time: the lanes' own takes two seconds."""
    from strokes.warping import lanes

    def source(*_: bool) -> Callable[..., None]:
        def kernel(first, second, below, above, work, own, costs):  # noqa: ARG001
            for pair in range(len(costs)):
                costs[pair, 0] = second[pair, 0, 0] - first[pair, 0, 0]

        return kernel

    monkeypatch.setattr("numba.core.config.CACHE_DIR", str(tmp_path))
    monkeypatch.setattr(f"numba.core.caching.{name}", broken)
    monkeypatch.setattr(lanes, "_source", source)
    monkeypatch.setattr(lanes, "_kernel", lanes._kernel.__wrapped__)

    assert warping.use_lanes(True)
    assert warping.distances(np.zeros((40, 5, 2)), np.ones((40, 5, 2))).tolist() == [1.0] * 40
    assert not list(tmp_path.rglob("*.nbc"))
