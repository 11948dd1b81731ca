"""`python -m tests.hostile [--count N] [--seconds S] [--only TARGET]`: attacks, and a table of it."""

from __future__ import annotations

import argparse
import multiprocessing
import sys

from tests.hostile.attack import Outcome, attack
from tests.hostile.targets import TARGETS, tried


def main() -> int:
    """Attack all targets, or those that are named; 1 where there are faults."""
    parser = argparse.ArgumentParser(prog="python -m tests.hostile", description=__doc__)
    parser.add_argument("--count", type=int, default=1000, metavar="N", help="inputs of each target")
    parser.add_argument(
        "--seconds", type=float, default=60.0, metavar="S", help="CPU seconds for each, a process"
    )
    parser.add_argument("--seed", type=int, default=1, metavar="N", help="the first of the seeds")
    parser.add_argument("--processes", type=int, default=1, metavar="N", help="at once, each with a seed")
    parser.add_argument(
        "--only", action="append", choices=TARGETS, metavar="TARGET", help="one of the targets"
    )
    parser.add_argument("--input", type=int, metavar="N", help="this input alone, with its traceback")
    asked = parser.parse_args()
    names = asked.only or list(TARGETS)
    if asked.input is not None:
        print(tried(names[0], asked.seed, asked.input) or "answered")
        return 0
    faults: list[str] = []
    print(f"{'target':30} {'tried':>8} {'refused':>8} {'slowest':>9} {'memory':>8} {'faults':>7}")
    with multiprocessing.get_context("spawn").Pool(asked.processes, maxtasksperchild=1) as pool:
        for name in names:
            outcome = Outcome()
            share = -(-asked.count // asked.processes)
            jobs = [(name, asked.seed + number, share, asked.seconds) for number in range(asked.processes)]
            for part in pool.starmap(attack, jobs, chunksize=1):
                outcome.add(part)
            total = outcome.refused.total() + len(outcome.faults)
            refused = total - outcome.refused[""] - len(outcome.faults)
            figures = f"{total:8} {refused:8} {outcome.slowest:7.2f} s {outcome.larger:5.0f} MB"
            print(f"{name:30} {figures} {len(outcome.faults):7}", flush=True)
            faults += outcome.faults
    print(*faults, sep="\n")
    return 1 if faults else 0


if __name__ == "__main__":
    sys.exit(main())
