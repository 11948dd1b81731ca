"""Labelled ink of many writers in one npz file, for evaluating the checks: it is read, never shipped.

The arrays are those of the file: points in device units with y growing downward, the first point of each
stroke, the first stroke of each sample, and a letter, a writer and three marks of quality a sample.
"""

from __future__ import annotations

import zipfile
from collections.abc import Mapping
from dataclasses import dataclass
from itertools import pairwise
from pathlib import Path
from typing import Any

import numpy as np
from numpy.typing import NDArray

from strokes.errors import InkError
from strokes.ink import Ink
from strokes.polyline import Floats, Polyline

AGREED = 0.2
"""Share of the nearest shapes of other writers that must bear the same label, or a label is doubtful."""

MOST_BYTES = 2**30
"""An array is read up to this size: the ink of a million letters is smaller."""

WANTED: Mapping[str, tuple[str, int]] = {
    "points": ("f", 2),
    "time": ("f", 1),
    "stroke_start": ("iu", 1),
    "sample_first_stroke": ("iu", 1),
    "letter": ("U", 1),
    "writer": ("U", 1),
    "clean": ("b", 1),
    "agree": ("f", 1),
    "coarse": ("b", 1),
}
"""The arrays that must be there: numpy's letters for the kinds of number, and the number of axes."""


@dataclass(frozen=True, eq=False)
class Sample:
    """One letter by one writer: `traces` in device units, `times` in seconds where all of them are known."""

    number: int
    letter: str
    writer: str
    traces: tuple[Polyline, ...]
    times: tuple[Floats, ...] | None = None

    @property
    def ink(self) -> Ink:
        """The traces as ink, without times: the checks do not use them."""
        return Ink.from_arrays(self.traces)


@dataclass(frozen=True, eq=False)
class Labelled:
    """All samples of a file; `working` are the numbers of those that a check can be held to."""

    arrays: Mapping[str, NDArray[Any]]

    def __len__(self) -> int:
        return len(self.arrays["letter"])

    @property
    def working(self) -> NDArray[np.intp]:
        """Clean, with a label others agree with, and not too coarse: decided by the file alone."""
        arrays = self.arrays
        return np.flatnonzero(arrays["clean"] & (arrays["agree"] >= AGREED) & ~arrays["coarse"])

    def __getitem__(self, number: int) -> Sample:
        arrays = self.arrays
        first, last = arrays["sample_first_stroke"][number : number + 2]
        ends = arrays["stroke_start"][first : last + 1]
        pieces = [slice(int(a), int(b)) for a, b in pairwise(ends)]
        points, stamps = arrays["points"], arrays["time"]
        return Sample(
            number,
            str(arrays["letter"][number]),
            str(arrays["writer"][number]),
            tuple(points[piece].astype(np.float64) for piece in pieces),
            _seconds([stamps[piece].astype(np.float64) for piece in pieces]),
        )


def _seconds(stamps: list[Floats]) -> tuple[Floats, ...] | None:
    """Milliseconds from the start of each trace as seconds; None where a time is unknown or runs back."""
    if any(not np.isfinite(stamp).all() or (np.diff(stamp) < 0).any() for stamp in stamps):
        return None
    return tuple(stamp / 1000 for stamp in stamps)


def load(path: Path | str) -> Labelled:
    """Read the file once, into memory; no pickled object in it is ever opened.

    Raises InkError in one sentence for a file that is not there, no npz, too large, or inconsistent.
    """
    path = Path(path)
    try:
        with path.open("rb") as file, zipfile.ZipFile(file):  # numpy would leave a broken one open
            file.seek(0)
            archive = np.load(file, allow_pickle=False)
            _bounded(path, archive.zip)
            missing = sorted(WANTED.keys() - set(archive.files))
            if missing:
                raise InkError(f"{path}: must have the array {missing[0]!r}, and has {sorted(archive.files)}")
            arrays = {name: archive[name] for name in WANTED}
    except (OSError, ValueError, EOFError, zipfile.BadZipFile) as error:
        raise InkError(f"{path}: must be an npz file of labelled ink: {error}") from error
    _checked(path, arrays)
    return Labelled(arrays)


def _bounded(path: Path, archive: zipfile.ZipFile) -> None:
    for entry in archive.infolist():
        if entry.file_size > MOST_BYTES:
            raise InkError(
                f"{path}: {entry.filename} must have at most {MOST_BYTES} bytes, not {entry.file_size}"
            )


def _checked(path: Path, arrays: Mapping[str, NDArray[Any]]) -> None:
    for name, (kinds, axes) in WANTED.items():
        array = arrays[name]
        if array.dtype.kind not in kinds or array.ndim != axes:
            raise InkError(
                f"{path}: {name} must be of kind {kinds} with {axes} axes, not {array.dtype} {array.shape}"
            )
    points, samples = len(arrays["points"]), len(arrays["letter"])
    if arrays["points"].shape[1] != 2 or not np.isfinite(arrays["points"]).all():
        raise InkError(f"{path}: points must be finite pairs of numbers")
    _rising(path, "stroke_start", arrays["stroke_start"], points)
    _rising(path, "sample_first_stroke", arrays["sample_first_stroke"], len(arrays["stroke_start"]) - 1)
    expected = dict.fromkeys(("letter", "writer", "clean", "agree", "coarse"), samples)
    expected |= {"sample_first_stroke": samples + 1, "time": points}
    for name, count in expected.items():
        if len(arrays[name]) != count:
            raise InkError(f"{path}: {name} must have {count} entries, not {len(arrays[name])}")


def _rising(path: Path, name: str, bounds: NDArray[Any], last: int) -> None:
    """The first entry 0, the last the number of things that are divided, and nothing empty in between."""
    if (
        not len(bounds)
        or bounds[0] != 0
        or bounds[-1] != last
        or (np.diff(bounds.astype(np.int64)) < 1).any()
    ):
        raise InkError(f"{path}: {name} must rise from 0 to {last}")
