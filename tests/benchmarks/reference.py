"""What a time is compared with: 40 calls of dtaidistance's C function on 64-point paths.

The two are taken in turn in one run: their ratio holds on another machine far better than either time.
"""

from __future__ import annotations

import statistics
import time
from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
from dtaidistance import dtw_ndim

from strokes import Alphabet, Ink, Letter
from strokes.hand import write
from strokes.polyline import Polyline, resample

POINTS = 64
CALLS = 40


@dataclass(frozen=True)
class Times:
    """Medians in seconds over all rounds."""

    measured: float
    reference: float

    @property
    def ratio(self) -> float:
        return self.measured / self.reference


def models(alphabet: Alphabet) -> list[Polyline]:
    """The first 40 strokes of the alphabet's formations, 64 points each."""
    every = [
        np.ascontiguousarray(resample(stroke.path, POINTS))
        for letter in alphabet.values()
        for formation in letter.formations
        for stroke in formation.strokes
    ]
    return every[:CALLS]


def forty_calls(ink: Ink, against: list[Polyline]) -> None:
    """The first trace of `ink`, 64 points of it, warped on each of 40 paths by dtaidistance's C code."""
    line = np.ascontiguousarray(resample(ink.traces[0].points, POINTS))
    for model in against:
        dtw_ndim.distance_fast(line, model)


def in_turn(measured: Callable[[], object], reference: Callable[[], object], rounds: int) -> Times:
    """Both once to warm up, then `rounds` times in turn."""
    measured(), reference()
    spent: tuple[list[float], list[float]] = ([], [])
    for _ in range(rounds):
        for kept, call in zip(spent, (measured, reference), strict=True):
            begun = time.perf_counter()
            call()
            kept.append(time.perf_counter() - begun)
    return Times(statistics.median(spent[0]), statistics.median(spent[1]))


def table(what: str, call: Callable[[Ink, Letter, Alphabet], object], rounds: int = 30) -> None:
    """Print one row a letter, written by the simulated hand, and the median of all."""
    alphabet = Alphabet.load()
    paths = models(alphabet)
    print(f"{'letter':8}{what + ', ms':>14}{'40 calls, ms':>14}{'ratio':>8}")
    every: list[Times] = []
    for name, letter in alphabet.items():
        ink = write(letter, seed=7)
        times = in_turn(
            lambda ink=ink, letter=letter: call(ink, letter, alphabet),
            lambda ink=ink: forty_calls(ink, paths),
            rounds,
        )
        every.append(times)
        print(row(name, times))
    measured = statistics.median(times.measured for times in every)
    print(row("median", Times(measured, statistics.median(times.reference for times in every))))


def row(name: str, times: Times) -> str:
    return f"{name:8}{times.measured * 1e3:14.2f}{times.reference * 1e3:14.2f}{times.ratio:8.2f}"
