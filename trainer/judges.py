"""The processes that judge old ink: each takes cases and gives answers, and has no record.

A case names its alphabet by number, as the alphabets are laid ready once in each process.
"""

from __future__ import annotations

import os
import signal
import threading
from collections.abc import Sequence
from dataclasses import dataclass
from multiprocessing import parent_process

from strokes.checks import check
from strokes.errors import StrokesError
from strokes.ink import Ink
from strokes.letter import Alphabet, Hand, Letter
from strokes.tolerances import Tolerances
from strokes.warping import use_lanes
from trainer.attempt import Step, Verdict
from trainer.packing import unpack
from trainer.scenes.following import Following


@dataclass(frozen=True)
class Case:
    """An attempt to be judged: its packed ink, and by which letter and for which hand."""

    number: int
    alphabet: int
    letter: str
    hand: Hand | None
    step: Step
    ink: bytes


@dataclass(frozen=True)
class Answer:
    """What came of a case: a verdict, or what is wrong with the ink."""

    number: int
    verdict: Verdict | None
    fault: str = ""


_alphabets: Sequence[Alphabet] = ()
_tolerances = Tolerances()
"""In a process that judges: the alphabets that cases refer to by number, and how strictly."""


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


def judge(cases: Sequence[Case]) -> list[Answer]:
    """The verdicts of today on a batch."""
    return [_judged(case) for case in cases]


def _judged(case: Case) -> Answer:
    alphabet = _alphabets[case.alphabet]
    letter = alphabet[case.letter]
    try:
        ink, later = unpack(case.ink)
        if later is None:
            later = _tried_again(ink, letter, case, alphabet)
        first = Ink(tuple(trace for number, trace in enumerate(ink.traces) if number not in later))
        report = check(first, letter, guide=alphabet.guide, hand=case.hand, tolerances=_tolerances)
    except (ValueError, StrokesError) as error:  # the ink is damaged: packed, or as numbers
        return Answer(case.number, None, str(error))
    return Answer(case.number, Verdict.of(report))


def _tried_again(ink: Ink, letter: Letter, case: Case, alphabet: Alphabet) -> tuple[int, ...]:
    """For ink of a time when it was not kept: the traces that the window would take for later tries."""
    following = Following(
        letter,
        hand=case.hand,
        guide=alphabet.guide,
        placed=case.step is not Step.RECALL,
        tolerances=_tolerances,
    )
    for trace in ink.traces:
        following.take(trace)
    return following.later
