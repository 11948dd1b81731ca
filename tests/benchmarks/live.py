"""What judging a moving pen costs a point, and how soon and how truly it speaks on real letters.

    python -m tests.benchmarks.live [--ink FILE.npz] [--letters N]

The cost of a point is set against one at the begin of the trace and must not grow with its length. With
labelled ink (as for `strokes.evaluation`) the first traces of letters that are written in one are fitted by
their own box onto the letter's: once as written, and once backwards.
"""

from __future__ import annotations

import argparse
from dataclasses import dataclass, field
from pathlib import Path
from time import process_time

import numpy as np

from strokes import Alphabet
from strokes.checks.live import LiveTrace
from strokes.evaluation.labelled import load
from strokes.letter import Formation
from strokes.polyline import Polyline, resample

PIECE = 400
"""Points of which the cost is averaged."""

NARROW = 0.3
"""X-heights: a letter below this width is scaled by its height alone."""

LIMIT = 1.8
"""The two scales of a fit differ by no more than this."""


def cost(alphabet: Alphabet) -> None:
    """The cost of a point, early and late in a trace that goes round and round an o."""
    formation = alphabet["o"].taught
    print(f"{'points before':>14}{'µs a point':>12}{'ratio':>8}")
    begin = 0.0
    for before in (0, 1_000, 10_000, 100_000):
        spent = min(_piece(formation, before) for _ in range(7)) / PIECE * 1e6
        begin = begin or spent
        print(f"{before:14,}{spent:12.2f}{spent / begin:8.2f}")


def _piece(formation: Formation, before: int) -> float:
    """Seconds for PIECE points after `before` points on the first third of the stroke."""
    path = formation.strokes[0].path
    live = LiveTrace(formation, 0)
    for x, y in resample(path[: len(path) // 3], before + 1).tolist():
        live.add(x, y)
    points = resample(path[len(path) // 3 :], PIECE).tolist()
    begun = process_time()
    for x, y in points:
        live.add(x, y)
    return process_time() - begun


@dataclass
class Tally:
    """Traces, how often the word under the pen was not the verdict at pen-up, and the ink it took."""

    traces: int = 0
    late: int = 0
    taken_back: int = 0
    ink: list[float] = field(default_factory=list)

    def add(self, line: Polyline, formations: list[Formation], *, placed: bool) -> None:
        """One trace, which may be any of these formations: it is told when it is told under all of them."""
        lives = [LiveTrace(formation, 0, placed=placed) for formation in formations]
        spoke = [
            _follow(live, fitted(line, formation)) for live, formation in zip(lives, formations, strict=True)
        ]
        heard = all(live.finish() is not None for live in lives)
        ink = [length for length in spoke if length is not None]
        early = len(ink) == len(spoke)
        self.traces += 1
        self.late += heard and not early
        self.taken_back += early and not heard
        if early:
            self.ink.append(max(ink))

    def row(self) -> str:
        """The same share, both ways to differ, and percentiles of the ink."""
        same = 1 - (self.late + self.taken_back) / max(1, self.traces)
        ink = np.percentile(self.ink, [50, 90, 95, 99]) if self.ink else np.full(4, np.nan)
        places = "".join(f"{length:7.2f}" for length in ink)
        counts = f"{self.traces:8}{same:9.2%}{self.taken_back:12}{self.late:6}"
        return f"{counts}{len(self.ink):7}{places}"


def _follow(live: LiveTrace, line: Polyline) -> float | None:
    """X-heights of ink at which something was said; None if nothing was."""
    spoken_at = None
    for x, y in line.tolist():
        if live.add(x, y) is not None and spoken_at is None:
            spoken_at = live.ink
    return spoken_at


def fitted(line: Polyline, formation: Formation) -> Polyline:
    """Ink in device units laid on a formation, box on box."""
    left, top, right, bottom = formation.bounds
    low, high = line.min(axis=0), line.max(axis=0)
    across, down = (right - left) / max(high[0] - low[0], 1e-9), (bottom - top) / max(high[1] - low[1], 1e-9)
    if right - left < NARROW:
        across = down
    across = min(max(across, down / LIMIT), down * LIMIT)
    middle = ((left + right) / 2, (top + bottom) / 2)
    return (line - (low + high) / 2) * (across, down) + middle


def real(alphabet: Alphabet, file: Path, letters: int) -> None:
    """Letters of the working set that are written in one trace, in random order."""
    ink = load(file)
    tallies = {(turned, placed): Tally() for turned in (False, True) for placed in (True, False)}
    taken = 0
    for number in np.random.default_rng(1).permutation(ink.working):
        sample = ink[int(number)]
        formations = [
            formation for formation in alphabet[sample.letter].accepted(None) if len(formation.strokes) == 1
        ]
        if len(sample.traces) > 1 or not formations:
            continue
        line = sample.traces[0]
        for (turned, placed), tally in tallies.items():
            tally.add(line[::-1] if turned else line, formations, placed=placed)
        taken += 1
        if taken == letters:
            break
    print(f"\n{'':28}{'traces':>8}{'same':>9}{'taken back':>12}{'late':>6}{'told':>7}", end="")
    print("".join(f"{share:>7}" for share in ("p50", "p90", "p95", "p99")), " x-heights of ink")
    for (turned, placed), tally in tallies.items():
        title = f"{'backwards' if turned else 'as written'}, {'in its place' if placed else 'anywhere'}"
        print(f"{title:28}{tally.row()}")


def main() -> None:
    words = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawTextHelpFormatter)
    words.add_argument("--ink", type=Path, help="labelled ink")
    words.add_argument("--letters", type=int, default=2000, help="real letters at most")
    given = words.parse_args()
    alphabet = Alphabet.load()
    cost(alphabet)
    if given.ink:
        real(alphabet, given.ink, given.letters)


if __name__ == "__main__":
    main()
