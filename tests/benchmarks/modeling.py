"""How near fitted curves keep to real ink, and with how many: `python -m tests.benchmarks.modeling FILE.npz`.

Files of labelled ink as for `strokes.evaluation`. Nothing is known of their guide lines: a character is taken
to be as tall as its letter of the alphabet print, with its lowest ink where that has it. The ink is smoothed
here by scipy's smoothing spline, so that the curves are not held against their own smoothing.
"""

from __future__ import annotations

import sys
from pathlib import Path
from time import process_time

import numpy as np
from scipy.interpolate import splev, splprep

from strokes import Alphabet, Ink, LetterError, letter_from_ink
from strokes.evaluation.labelled import load
from strokes.modeling import ERROR, Curves, fit_stroke
from strokes.polyline import Polyline, arc_lengths, bounds, length, resample
from strokes.transform import Transform

NOISE = 0.008
"""In x-heights: what the smoothing spline may take off the ink on average."""

COUNT = 150


def smoothed(line: Polyline) -> Polyline:
    """The ink of a stroke by a cubic smoothing spline along its arc length."""
    dense = resample(line, max(8, int(length(line) / 0.02)))
    spline, _ = splprep(dense.T, u=arc_lengths(dense), s=len(dense) * NOISE**2)
    return np.column_stack(splev(np.linspace(0, arc_lengths(dense)[-1], 2 * len(dense)), spline))


def farthest(line: Polyline, curves: Curves) -> float:
    """How far ink is from the curves, at most."""
    drawn = resample(curves.polyline(), max(100, int(curves.length / 0.005)))
    gaps = line[:, None] - drawn[None]
    return float(np.hypot(gaps[..., 0], gaps[..., 1]).min(axis=1).max())


def in_x_heights(ink: Ink, alphabet: Alphabet, name: str) -> Ink:
    """The ink as tall as the letter, its lowest point where the letter has it."""
    _, top, _, bottom = alphabet[name].taught.bounds
    left, high, _, low = bounds(np.vstack([trace.points for trace in ink.traces]))
    scale = (bottom - top) / max(low - high, 1e-9)
    return ink.transformed(Transform(scale, scale, -left * scale, bottom - low * scale))


def measure(path: Path, alphabet: Alphabet) -> None:
    labelled = load(path)
    chosen = np.random.default_rng(0).permutation(labelled.working)[:COUNT]
    stroke_off, letter_off, counts, refused, seconds = [], [], [], 0, 0.0
    for number in chosen:
        sample = labelled[int(number)]
        ink = in_x_heights(sample.ink, alphabet, sample.letter)
        begun = process_time()
        try:
            letter = letter_from_ink(sample.letter, ink)
            fitted = [fit_stroke(trace.points) for trace in ink.traces]
        except LetterError:
            refused += 1
            continue
        seconds += process_time() - begun
        calm = [
            smoothed(trace.points) if length(trace.points) > 0.2 else trace.points for trace in ink.traces
        ]
        stroke_off.append(max(farthest(line, curves) for line, curves in zip(calm, fitted, strict=True)))
        put = [stroke.curves for stroke in letter.taught.strokes if stroke.curves]
        letter_off.append(max(farthest(line, curves) for line, curves in zip(calm, put, strict=True)))
        counts += [len(curves) for curves in fitted]
    for what, off in (("as fitted", stroke_off), ("ends put in place", letter_off)):
        within = 100 * np.mean(np.array(off) <= ERROR)
        median = np.median(off)
        print(f"{path.stem}, {what}: {within:.1f} % of {len(off)} within {ERROR:g}; median {median:.3f}")
    print(
        f"  curves a stroke: median {np.median(counts):g}, 95 of 100 at most {np.percentile(counts, 95):g}; "
        f"refused {refused}; {500 * seconds / max(1, len(stroke_off)):.0f} ms a letter"
    )


if __name__ == "__main__":
    for name in sys.argv[1:]:
        measure(Path(name), Alphabet.load())
