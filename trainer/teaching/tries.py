"""What counts as a try at a letter, and what was seen in it.

A try is a finished attempt by copy or from memory. A traced letter has its model under the pen, so it
shows little of what the child does alone; traced letters are counted apart.
"""

from __future__ import annotations

from strokes.kinds import NOT_FORMED, NOT_RIGHT, Kind
from strokes.report import Finding
from trainer.attempt import Attempt, Step, Verdict

ENOUGH = 3
"""Under so many tries nothing is concluded: one session is thin evidence (trade facts, section 8)."""

LATELY = 5
"""How many of a child's last tries at a letter say how it is written now; ours, to be tuned with teachers."""

AGAIN = 2
"""What was seen in so many of the last tries, and in half of them, is worth teaching: one may be chance."""

STEPS = (Step.COPY, Step.RECALL)


def is_try(attempt: Attempt) -> bool:
    """Whether it was finished, judged, and written without the model under the pen."""
    return attempt.finished and attempt.verdict is not None and attempt.step in STEPS


def kinds(attempt: Attempt, *, notes: bool = False) -> set[Kind]:
    """The kinds of its findings, or of its notes: each once, however often it was found in it."""
    return {finding.kind for finding in counted(attempt) if finding.note is notes}


def counted(attempt: Attempt) -> tuple[Finding, ...]:
    """Its findings and notes, without those that a teacher's verdict contradicts.

    A verdict of well formed removes the findings of formation, one of looking right those of look; either
    removes another letter.
    """
    findings = attempt.verdict.findings if attempt.verdict else ()
    word = attempt.overruled
    if word is None:
        return findings
    denied = (NOT_FORMED if word.formed else frozenset()) | (NOT_RIGHT if word.looks else frozenset())
    return tuple(finding for finding in findings if finding.note or finding.kind not in denied)


def judged(attempt: Attempt) -> Verdict | None:
    """The verdict that counts: the checks' one, or the teacher's in its place; None without any."""
    verdict, word = attempt.verdict, attempt.overruled
    if verdict is None or word is None:
        return verdict
    return Verdict(verdict.formation, word.formed, word.looks, counted(attempt))
