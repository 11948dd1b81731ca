"""A small npz file of labelled ink, written by the simulated hand: shaped as a real one, and nobody's ink."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path
from typing import Any

import numpy as np

from strokes import Ink
from strokes.simulation.hand import write
from tests.shipped import PRINT as ALPHABET


def arrays(samples: Sequence[tuple[str, Ink]], *, writers: int = 2) -> dict[str, Any]:
    """All arrays of a file with these letters, the writers taking turns."""
    traces = [trace for _, ink in samples for trace in ink.traces]
    counts = [len(ink) for _, ink in samples]
    return {
        "points": np.vstack([trace.points for trace in traces]).astype(np.float32) * 100,
        "time": np.concatenate(
            [
                (trace.times - trace.times[0]) * 1000 if trace.times is not None else [np.nan] * len(trace)
                for trace in traces
            ]
        ).astype(np.float32),
        "stroke_start": np.cumsum([0, *(len(trace) for trace in traces)]).astype(np.int32),
        "sample_first_stroke": np.cumsum([0, *counts]).astype(np.int32),
        "letter": np.array([letter for letter, _ in samples]),
        "writer": np.array([f"w{number % writers}" for number in range(len(samples))]),
        "site": np.array(["here"] * len(samples)),
        "clean": np.ones(len(samples), dtype=bool),
        "agree": np.ones(len(samples), dtype=np.float16),
        "coarse": np.zeros(len(samples), dtype=bool),
    }


def steady(letters: str, *, seeds: Sequence[int] = (1, 2)) -> list[tuple[str, Ink]]:
    """Each letter as it is taught, once a seed."""
    return [(letter, write(ALPHABET[letter], seed=seed)) for letter in letters for seed in seeds]


def save(path: Path, samples: Sequence[tuple[str, Ink]], **changed: Any) -> Path:
    """Write the file, some arrays changed or, with None, left out."""
    every = {**arrays(samples), **changed}
    np.savez(path, **{name: array for name, array in every.items() if array is not None})
    return path
