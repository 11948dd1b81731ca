"""How fast warping is against five other libraries: `python -m tests.benchmarks.warping [--rounds N]`.

One core, float64, squared Euclidean local cost (traj-dist-rs: Euclidean; it offers no other), every
contender through its own call for whole tables if it has one. All are taken in turn, round by round, and
the best round of each counts, in processor time: on a busy machine the least disturbed. A ratio is the
time of the fastest of the other libraries over the time of this row.

aeon wants an older numpy than we do, so the others live in an environment of their own, with us in it:

    python3 -m venv peers && peers/bin/pip install -e ".[fast,peers]"
    peers/bin/python -m tests.benchmarks.warping

A library that is not installed is named as missing. Before timing, all costs are compared with ours.
"""

from __future__ import annotations

import argparse
import os
import time
import warnings
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from importlib.metadata import PackageNotFoundError, version
from typing import TypeAlias

for _name in ("OMP_NUM_THREADS", "OPENBLAS_NUM_THREADS", "NUMBA_NUM_THREADS", "RAYON_NUM_THREADS"):
    os.environ[_name] = "1"  # before numpy is imported: one core for everybody

import numpy as np  # noqa: E402

from strokes.warping import pairs as warping  # noqa: E402
from strokes.warping.pairs import Lines  # noqa: E402

Contender: TypeAlias = Callable[[Lines, Lines, "int | None"], np.ndarray]

NUMPY, LANES = "ours, numpy", "ours, lanes"

BAND_SHARE = 10
"""A band is a tenth of the points to each side: 6 of 64."""


@dataclass(frozen=True)
class Batch:
    """Some traces, each to be warped on each of some paths."""

    traces: Lines
    paths: Lines
    band: int | None


def curves(count: int, points: int, seed: int) -> Lines:
    """Smooth random paths of about the size of a letter."""
    random = np.random.default_rng(seed)
    places = np.linspace(0, 8, points)
    walks = random.normal(scale=0.3, size=(count, 9, 2)).cumsum(axis=1)
    return np.stack(
        [
            np.stack([np.interp(places, np.arange(9), walk[:, axis]) for axis in (0, 1)], axis=1)
            for walk in walks
        ]
    )


def ours(a: Lines, b: Lines, band: int | None) -> np.ndarray:
    warping.use_lanes(False)
    return warping.table(a, b, band=band)


def ours_in_lanes(a: Lines, b: Lines, band: int | None) -> np.ndarray:
    warping.use_lanes(True)
    return warping.table(a, b, band=band)


def dtaidistance() -> Contender:
    from dtaidistance import dtw_ndim

    def call(a: Lines, b: Lines, band: int | None) -> np.ndarray:
        both = np.concatenate([a, b])
        block = ((0, len(a)), (len(a), len(both)))
        window = None if band is None else band + 1
        distances = dtw_ndim.distance_matrix_fast(
            both, block=block, compact=True, parallel=False, only_triu=True, window=window
        )
        return np.asarray(distances).reshape(len(a), len(b)) ** 2

    return call


def aeon() -> Contender:
    from aeon.distances import dtw_pairwise_distance

    def call(a: Lines, b: Lines, band: int | None) -> np.ndarray:
        window = None if band is None else band / a.shape[1]
        return dtw_pairwise_distance(a.transpose(0, 2, 1).copy(), b.transpose(0, 2, 1).copy(), window=window)

    return call


def tslearn() -> Contender:
    from tslearn.metrics import cdist_dtw

    def call(a: Lines, b: Lines, band: int | None) -> np.ndarray:
        if band is None:
            return cdist_dtw(a, b, n_jobs=1) ** 2
        return cdist_dtw(a, b, global_constraint="sakoe_chiba", sakoe_chiba_radius=band, n_jobs=1) ** 2

    return call


def dtw_python() -> Contender:
    from dtw import dtw

    def call(a: Lines, b: Lines, band: int | None) -> np.ndarray:
        options = {} if band is None else {"window_type": "sakoechiba", "window_args": {"window_size": band}}
        return np.array(
            [
                [
                    dtw(((p[:, None] - q) ** 2).sum(2), step_pattern="symmetric1", **options).distance
                    for q in b
                ]
                for p in a
            ]
        )

    return call


def traj_dist_rs() -> Contender:
    import traj_dist_rs as library

    metric = library.Metric.dtw("euclidean")

    def call(a: Lines, b: Lines, band: int | None) -> np.ndarray:
        assert band is None  # it has none, and `measure` asks it for none
        return library.cdist(list(a), list(b), metric, parallel=False)

    return call


PEERS: Mapping[str, Callable[[], Contender]] = {
    "dtaidistance": dtaidistance,
    "aeon": aeon,
    "tslearn": tslearn,
    "dtw-python": dtw_python,
    "traj-dist-rs": traj_dist_rs,
}

OTHER_COST = {"traj-dist-rs"}
"""Their costs are others than ours and are not compared."""

SLOW = {"dtw-python": 10}
"""Measured once, on so many of the traces: it takes a call a pair, and no other time comes near."""


def contenders() -> tuple[dict[str, Contender], list[str]]:
    """Whoever is installed, ourselves first, and who is missing."""
    by_name: dict[str, Contender] = {NUMPY: ours}
    missing = []
    if warping.use_lanes(True):
        by_name[LANES] = ours_in_lanes
    else:
        missing.append("numba")
    for name, load in PEERS.items():
        try:
            by_name[name] = load()
        except ImportError:
            missing.append(name)
    return by_name, missing


def agree(batch: Batch, callers: Mapping[str, Contender]) -> None:
    """Stop if anybody with our local cost says something else of a few of the pairs."""
    few = batch.traces[:3], batch.paths[:4]
    wanted = ours(*few, batch.band)
    for name, call in callers.items():
        if name in OTHER_COST or (batch.band is not None and name == "aeon"):
            continue  # aeon rounds its window, a share of the points, in its own way
        np.testing.assert_allclose(call(*few, batch.band), wanted, atol=1e-9, err_msg=name)


def measure(batch: Batch, callers: Mapping[str, Contender], rounds: int) -> dict[str, float]:
    """The best time of each, in microseconds a pair; everybody once a round, in turn."""
    agree(batch, callers)
    best: dict[str, float] = {}
    for _ in range(rounds):
        for name, call in callers.items():
            if (name in OTHER_COST and batch.band is not None) or (name in SLOW and name in best):
                continue
            traces = batch.traces[: SLOW.get(name)]
            begun = time.process_time()
            call(traces, batch.paths, batch.band)
            spent = (time.process_time() - begun) / (len(traces) * len(batch.paths)) * 1e6
            best[name] = min(spent, best.get(name, spent))
    return best


def report(batches: list[tuple[str, Batch]], rounds: int) -> None:
    callers, missing = contenders()
    columns = []
    for title, batch in batches:
        columns.append((title, measure(batch, callers, rounds)))
    print("µs a pair (how many times as fast as the fastest other library)\n")
    print(f"{'':14}" + "".join(f"{title:>19}" for title, _ in columns))
    for name in callers:
        row = f"{name:14}"
        for _, best in columns:
            others = [spent for other, spent in best.items() if other in PEERS]
            if name not in best:
                row += f"{'-':>19}"
            elif others:
                row += f"{best[name]:11.2f} ({min(others) / best[name]:5.2f})"
            else:
                row += f"{best[name]:19.2f}"
        print(row)
    for name in missing:
        print(f"{name:14}{'missing':>19}")
    print()


def installed(name: str) -> str:
    try:
        return f"{name} {version(name)}"
    except PackageNotFoundError:
        return f"{name} missing"


def batch(traces: int, paths: int, points: int, *, banded: bool = False) -> Batch:
    band = points // BAND_SHARE if banded else None
    return Batch(curves(traces, points, 1), curves(paths, points, 2), band)


def main() -> None:
    words = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawTextHelpFormatter)
    words.add_argument("--rounds", type=int, default=5, help="rounds of which the best counts")
    rounds = words.parse_args().rounds
    warnings.simplefilter("ignore")  # of the other libraries, about themselves
    print(", ".join(installed(name) for name in ("numpy", "numba", *PEERS)), "\n")
    print("1,000 traces on 40 paths of 64 points")
    report([("full", batch(1000, 40, 64)), ("band of 6", batch(1000, 40, 64, banded=True))], rounds)
    print("Points: 100 traces on 40 paths")
    report([(f"{points}", batch(100, 40, points)) for points in (64, 128, 256)], rounds)
    print("Points, with a band of a tenth")
    report([(f"{points}", batch(100, 40, points, banded=True)) for points in (64, 128, 256)], rounds)
    print("Pairs of 64 points: traces on 40 paths")
    report([(f"{traces} x 40", batch(traces, 40, 64)) for traces in (1, 10, 100)], rounds)


if __name__ == "__main__":
    main()
