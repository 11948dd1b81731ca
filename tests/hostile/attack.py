"""One target attacked for a while: what was refused, the slowest, the largest, and what must not be."""

from __future__ import annotations

import resource
import signal
import time
import traceback
import warnings
from collections import Counter
from dataclasses import dataclass, field
from types import FrameType

from tests.hostile.targets import tried

SLOWEST, LARGEST = 2.0, 300.0
"""CPU seconds and MB that one input may take."""

HANGS = 20.0
"""CPU seconds after which an input is given up."""


@dataclass
class Outcome:
    """What came of the inputs of a target: refused by error, the slowest in CPU seconds, MB more, faults."""

    refused: Counter[str] = field(default_factory=Counter)
    slowest: float = 0.0
    larger: float = 0.0
    faults: list[str] = field(default_factory=list)

    def add(self, other: Outcome) -> None:
        """Take in what another process saw."""
        self.refused += other.refused
        self.slowest, self.larger = max(self.slowest, other.slowest), max(self.larger, other.larger)
        self.faults += other.faults


class HangError(BaseException):
    """An input that takes far too long; nothing catches it on the way."""


def attack(name: str, seed: int, count: int, seconds: float) -> Outcome:
    """Try `count` inputs of a target, or as many as `seconds` of CPU time allow. Warnings are faults too."""
    outcome = Outcome()
    signal.signal(signal.SIGVTALRM, _give_up)
    tried(name, seed, 0)  # what is loaded and compiled once is not the input's
    begun, base = time.process_time(), _peak()
    with warnings.catch_warnings():
        warnings.simplefilter("error")
        for number in range(count):
            before = time.process_time()
            if before - begun > seconds:
                break
            signal.setitimer(signal.ITIMER_VIRTUAL, HANGS)
            try:
                outcome.refused[tried(name, seed, number)] += 1
            except HangError:
                outcome.faults.append(f"{name} {seed} {number}: no answer in {HANGS:g} CPU seconds")
            except Exception as error:
                where = traceback.extract_tb(error.__traceback__)[-1]
                place = f"{where.filename.rpartition('/')[2]}:{where.lineno}"
                outcome.faults.append(f"{name} {seed} {number}: {place}: {repr(error)[:200]}")
            finally:
                signal.setitimer(signal.ITIMER_VIRTUAL, 0)
            took, larger = time.process_time() - before, _peak() - base
            if took > SLOWEST or larger > max(LARGEST, outcome.larger):
                outcome.faults.append(f"{name} {seed} {number}: {took:.1f} CPU seconds, {larger:.0f} MB more")
            outcome.slowest, outcome.larger = max(outcome.slowest, took), larger
    return outcome


def _give_up(_: int, __: FrameType | None) -> None:
    raise HangError


def _peak() -> float:
    """The most memory that this process ever had, in MB."""
    return resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024
