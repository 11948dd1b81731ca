"""`python -m tests.faults [--count N] [--seed S] [--screens K]`: faults, and a table of what came of them."""

from __future__ import annotations

import argparse
import random
import sys

import numpy as np

from tests.faults.run import FAULTS, QUIET, run
from tests.server import OLDEST, programs, serving


def main() -> int:
    """Do the faults in a random order; 1 where something was lost or doubled."""
    parser = argparse.ArgumentParser(prog="python -m tests.faults", description=__doc__)
    parser.add_argument("--count", type=int, default=100, metavar="N", help="faults")
    parser.add_argument("--seed", type=int, default=1, metavar="S")
    parser.add_argument("--screens", type=int, default=2, metavar="K", help="screens that write")
    asked = parser.parse_args()
    folder = programs()
    if folder is None:
        print(f"this needs the programs of a PostgreSQL server {OLDEST} or newer")
        return 2
    shares = [share for share, _ in FAULTS.values()]
    faults = random.Random(asked.seed).choices(list(FAULTS), shares, k=asked.count)
    with serving(folder) as server:
        outcome = run(server, faults, seed=asked.seed, screens=asked.screens)
    print("pen-ups in ms: median, 99th percentile, slowest by the clock; 99th percentile of the processor\n")
    print("| fault | times | pen-ups | median | 99 % | slowest | processor, 99 % |")
    print("|---|---|---|---|---|---|---|")
    for fault in (*FAULTS, QUIET):
        if pen_ups := outcome.pen_ups.get(fault):
            _row(fault, outcome.times[fault], pen_ups)
    _row("all", outcome.times.total(), [pen_up for each in outcome.pen_ups.values() for pen_up in each])
    print(f"\nletters in the record: {outcome.letters}; lost, doubled or changed: {len(outcome.wrong)}")
    print(*outcome.wrong, sep="\n")
    return 1 if outcome.wrong else 0


def _row(fault: str, times: int, pen_ups: list[tuple[float, float]]) -> None:
    clock, processor = 1000 * np.array(pen_ups).T
    figures = [np.median(clock), np.percentile(clock, 99), clock.max(), np.percentile(processor, 99)]
    shown = " | ".join(f"{figure:.1f}" for figure in figures)
    print(f"| {fault} | {times:,} | {len(pen_ups):,} | {shown} |", flush=True)


if __name__ == "__main__":
    sys.exit(main())
