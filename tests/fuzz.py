"""Random inks by the thousand through every check: `python -m tests.fuzz [COUNT] [SEED]`.

Dots, repeated points, straight lines, walks, integers and pieces of letters, one to nine traces, sized from
a billionth to a billion. Nothing but our own errors may come of it, and every figure must be finite. It
prints how many were judged and what was refused; tests run a few of them (`tests/strokes/test_fuzz.py`).
"""

from __future__ import annotations

import multiprocessing
import sys
import warnings
from collections import Counter
from collections.abc import Iterator

import numpy as np

from strokes import GuideLines, Ink, StrokesError, check, identify
from strokes.checks.live import LiveTrace, follow
from strokes.polyline import Polyline
from tests.shipped import OF_SET
from tests.shipped import PRINT as ALPHABET

TRACES = (1, 1, 1, 2, 2, 3, 4, 6, 9)
POINTS = (1, 1, 2, 2, 3, 5, 20, 60)


def inks(random: np.random.Generator, count: int) -> Iterator[list[Polyline]]:
    """So many random inks, each a list of (n, 2) traces."""
    for _ in range(count):
        yield [_trace(random) for _ in range(random.choice(TRACES))]


def _trace(random: np.random.Generator) -> Polyline:
    n, size = int(random.choice(POINTS)), 10.0 ** random.integers(-9, 9)
    kinds = (
        lambda: random.normal(size=(n, 2)) * size,
        lambda: np.cumsum(random.normal(size=(n, 2)), axis=0) * size,
        lambda: np.repeat(random.normal(size=(1, 2)) * size, n, axis=0),
        lambda: np.column_stack([np.zeros(n), np.linspace(0, size, n)]),
        lambda: np.column_stack([np.linspace(0, size, n), np.zeros(n)]),
        lambda: random.integers(-3, 3, size=(n, 2)).astype(float),
        lambda: _piece(random, n) * size,
    )
    away = random.normal(size=2) * size * 10 if random.random() < 0.3 else 0.0
    return kinds[random.integers(len(kinds))]() + away


def _piece(random: np.random.Generator, n: int) -> Polyline:
    path = _letter(random).taught.strokes[0].path
    return path[:: max(1, len(path) // n)]


def _letter(random: np.random.Generator):
    return ALPHABET.letters[random.integers(len(ALPHABET.letters))]


def judge(random: np.random.Generator, traces: list[Polyline]) -> str:
    """Judge one ink in every way; gives the error that refused it, if one of ours did."""
    guide = None
    if random.random() < 0.4:
        base, unit = random.normal() * 10, 10.0 ** random.integers(-3, 4)
        guide = GuideLines(
            ascender=base - 2 * unit, x_height=base - unit, baseline=base, descender=base + unit
        )
    letter, hand = _letter(random), (None, "left", "right")[random.integers(3)]
    try:
        ink = Ink.from_arrays(traces)
        findings = check(ink, letter, guide=guide, hand=hand).findings
        early = follow(LiveTrace(letter.taught, 0, guide=guide), traces[-1])
        for finding in (*findings, *([early] if early else [])):
            assert np.isfinite([finding.amount, finding.limit]).all(), finding
        assert np.isfinite([match.distance for match in identify(ink, OF_SET[letter.set])]).all()
    except StrokesError as error:
        return type(error).__name__
    return ""


def run(count: int, seed: int) -> Counter[str]:
    """Judge so many inks; warnings of numpy are errors here."""
    random, refused = np.random.default_rng(seed), Counter[str]()
    with warnings.catch_warnings():
        warnings.simplefilter("error")
        for number, traces in enumerate(inks(random, count)):
            try:
                refused[judge(random, traces)] += 1
            except Exception as error:
                raise AssertionError(f"ink {number} of seed {seed}: {error!r}") from error
    return refused


def main() -> None:
    """All cores, each with its own seed."""
    count = int(sys.argv[1]) if len(sys.argv) > 1 else 100_000
    seed = int(sys.argv[2]) if len(sys.argv) > 2 else 1
    cores = multiprocessing.cpu_count()
    with multiprocessing.Pool(cores) as pool:
        jobs = [(count // cores, seed + core) for core in range(cores)]
        refused = sum(pool.starmap(run, jobs), Counter())
    print(f"{refused.total()} inks, {refused.pop('', 0)} judged, refused: {dict(refused) or 'none'}")


if __name__ == "__main__":
    main()
