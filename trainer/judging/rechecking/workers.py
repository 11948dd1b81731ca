"""The processes that judge old ink: each takes jobs and gives verdicts, and has no record.

A job names its alphabet by number, as the alphabets are laid ready once in each process.
"""

from __future__ import annotations

import os
import signal
import threading
from collections.abc import Sequence
from dataclasses import dataclass
from multiprocessing import parent_process

from strokes.alphabet import Alphabet
from strokes.errors import StrokesError
from strokes.letter import Hand
from strokes.tolerances import Tolerances
from strokes.warping import use_lanes
from trainer.attempt import Step, Verdict
from trainer.ink_codec import unpack
from trainer.judging.judge import Judge


@dataclass(frozen=True)
class Job:
    """An attempt to be judged: its packed ink, and by which letter and for which hand."""

    number: int
    alphabet: int
    letter: str
    hand: Hand | None
    step: Step
    ink: bytes


@dataclass(frozen=True)
class JobResult:
    """What came of a job: a verdict, or what is wrong with the ink."""

    number: int
    verdict: Verdict | None
    problem: str = ""


_alphabets: Sequence[Alphabet] = ()
_tolerances = Tolerances()
"""In a process that judges: the alphabets that jobs refer to by number, and how strictly."""


def prepare(alphabets: Sequence[Alphabet], tolerances: Tolerances | None = None) -> None:
    """Lay the alphabets and tolerances ready."""
    global _alphabets, _tolerances
    _alphabets, _tolerances = alphabets, tolerances or Tolerances()


def start_apart(alphabets: Sequence[Alphabet], tolerances: Tolerances, lanes: bool | None = None) -> None:
    """Make a new process ready; Ctrl-C is for the one that writes, and that one ends the others."""
    signal.signal(signal.SIGINT, signal.SIG_IGN)
    threading.Thread(target=_leave_with_parent, daemon=True).start()
    use_lanes(lanes)
    prepare(alphabets, tolerances)


def _leave_with_parent() -> None:
    """End this process when the one that writes is killed: it would wait for work without end."""
    if writer := parent_process():
        writer.join()
        os._exit(1)


def judge(jobs: Sequence[Job]) -> list[JobResult]:
    """The verdicts of today on a batch."""
    return [_judged(job) for job in jobs]


def _judged(job: Job) -> JobResult:
    alphabet = _alphabets[job.alphabet]
    try:
        ink, shown = unpack(job.ink)
        verdict = Judge(alphabet, job.hand, _tolerances).judge(job.letter, ink, job.step, shown).verdict
    except (ValueError, StrokesError) as error:  # the ink is damaged: packed, or as numbers
        return JobResult(job.number, None, str(error))
    return JobResult(job.number, verdict)
