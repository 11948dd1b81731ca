"""What a time is compared with: 40 calls of dtaidistance's C function on 64-point paths, and its own warping.

All are taken in turn in one run, by the time of the processor: their ratios hold on another machine, and
beside other work, far better than any time.
"""

from __future__ import annotations

import statistics
import time
from collections import defaultdict
from collections.abc import Callable, Sequence
from contextlib import ExitStack
from dataclasses import astuple, dataclass
from functools import partial
from importlib import import_module
from itertools import product
from pathlib import Path
from typing import TypeAlias
from unittest.mock import patch

import numpy as np
from dtaidistance import dtw_ndim

from strokes import Alphabet, Ink, Letter
from strokes.evaluation.labelled import Sample, load
from strokes.polyline import Polyline, resample
from strokes.simulation.hand import write
from strokes.warping import pairs as warping

POINTS = 64
CALLS = 40


@dataclass(frozen=True)
class Times:
    """Medians in seconds of the processor: the whole, the calls it is compared with, its warping alone."""

    measured: float
    reference: float
    warping: float


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


def its_warping(call: Callable[[], object]) -> Callable[[], None]:
    """Does again what `call` asks of `strokes.warping`, with the same lines and nothing around it."""
    asked: list[Callable[[], object]] = []

    def recording(function: Callable[..., object]) -> Callable[..., object]:
        def keeping(*lines: object, **options: object) -> object:
            asked.append(lambda: function(*lines, **options))
            return function(*lines, **options)

        return keeping

    users = [
        import_module(name)
        for name in ("strokes.matching.matcher", "strokes.matching.alignment", "strokes.recognition.ranking")
    ]
    with ExitStack() as stack:
        for user, name in product(users, ("distances", "paths", "table")):
            if hasattr(user, name):
                stack.enter_context(patch.object(user, name, recording(getattr(warping, name))))
        call()

    def again() -> None:
        for letter_ink in asked:
            letter_ink()

    return again


def in_turn(calls: Sequence[Callable[[], object]], rounds: int) -> list[float]:
    """Each once to warm up, then `rounds` times in turn: the medians of the processor's time."""
    for call in calls:
        call()
    spent: list[list[float]] = [[] for _ in calls]
    for _ in range(rounds):
        for seconds, call in zip(spent, calls, strict=True):
            begun = time.process_time()
            call()
            seconds.append(time.process_time() - begun)
    return [statistics.median(seconds) for seconds in spent]


Call: TypeAlias = Callable[[Ink, Letter, Alphabet], object]


def table(what: str, call: Call, rounds: int = 30) -> None:
    """Print one row a letter, written by the simulated hand, and the median of all."""
    alphabet = Alphabet.load()
    paths = models(alphabet)
    print(heading("letter", what))
    every: list[Times] = []
    for name, letter in alphabet.items():
        every.append(times(call, write(letter, seed=7), letter, alphabet, paths, rounds))
        print(row(name, every[-1]))
    print(row("median", medians(every)))


def table_of_real(what: str, call: Call, file: Path, most: int = 100, rounds: int = 5) -> None:
    """Print the medians of real letters, one row for each number of traces; `most` samples a row, spread."""
    alphabet = Alphabet.load()
    paths = models(alphabet)
    labelled = load(file)
    by_traces: dict[int, list[Sample]] = defaultdict(list)
    for number in labelled.working.tolist():
        sample = labelled[number]
        by_traces[len(sample.traces)].append(sample)
    print(heading("traces", what))
    for traces, samples in sorted(by_traces.items()):
        chosen = samples[:: max(1, len(samples) // most)]
        every = [
            times(call, sample.ink, alphabet[sample.letter], alphabet, paths, rounds) for sample in chosen
        ]
        print(row(str(traces), medians(every)), f"{len(chosen):6} of {len(samples)}")


def times(
    call: Call, ink: Ink, letter: Letter, alphabet: Alphabet, paths: list[Polyline], rounds: int
) -> Times:
    """The whole call on this ink, the peer and its own warping, taken in turn."""
    whole = partial(call, ink, letter, alphabet)
    whole()
    return Times(*in_turn([whole, partial(forty_calls, ink, paths), its_warping(whole)], rounds))


def medians(every: Sequence[Times]) -> Times:
    """The median of each of the three."""
    return Times(*(statistics.median(figures) for figures in zip(*map(astuple, every), strict=True)))


def heading(first: str, what: str) -> str:
    return f"{first:8}{what + ', ms':>14}{'40 calls, ms':>14}{'ratio':>8}{'warping, ms':>14}{'ratio':>8}"


def row(name: str, times: Times) -> str:
    whole, calls, alone = (1e3 * seconds for seconds in astuple(times))
    return f"{name:8}{whole:14.2f}{calls:14.2f}{whole / calls:8.2f}{alone:14.2f}{whole / alone:8.2f}"
