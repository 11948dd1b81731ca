"""Which letter comes next, and with how much help; pure: from the plan and the child's own record.

Where a teacher overruled the checks, her verdict counts (`tries.judged`).
Nothing here stops a child, counts seconds or sets children against each other.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from enum import StrEnum
from itertools import takewhile

from strokes import Kind
from trainer.attempt import Attempt, Step, Verdict, one_thing
from trainer.teaching.tries import judged

LADDER = (Step.WATCH, Step.TRACE, Step.COPY, Step.RECALL)

REST_AFTER = 10 * 60.0
"""Seconds of practice before a rest: 10 min of handwriting in a session, as in Berninger et al. (1997)."""

IN_A_ROW = 2
"""Well formed attempts for a step up, and attempts with one and the same finding for a step down."""

SESSION_LETTERS = 4
"""Letters offered in one session; about 2 min each fill the time up to the rest."""

GAPS = tuple(timedelta(days=days) for days in (1, 2, 4, 7, 14, 30))
"""How long a letter may wait after it was recalled well on so many days: common practice, no source."""


class Why(StrEnum):
    """Why a letter is offered."""

    PLAN = "plan"
    DUE = "due"
    NEW = "new"
    AGAIN = "again"


@dataclass(frozen=True)
class Offer:
    """A letter to practice, and why."""

    letter: str
    why: Why


@dataclass(frozen=True)
class Advice:
    """What to do after an attempt: the step to take next, or None when the letter has had its share today."""

    step: Step | None

    def is_up_from(self, step: Step) -> bool:
        """Whether this leads on from `step`, to a higher step or out of the letter."""
        return self.step is None or LADDER.index(self.step) > LADDER.index(step)


def _counted(verdict: Verdict) -> tuple[Kind, int | None] | None:
    """The one thing as its kind and stroke."""
    finding = one_thing(verdict.findings)
    return (finding.kind, finding.stroke) if finding else None


def above(step: Step) -> Step | None:
    """The next step up; None above recall."""
    index = LADDER.index(step) + 1
    return LADDER[index] if index < len(LADDER) else None


def below(step: Step) -> Step:
    """The next step down; watching stays watching."""
    return LADDER[max(0, LADDER.index(step) - 1)]


def advice(step: Step, verdicts: Sequence[Verdict]) -> Advice:
    """What comes after the attempts just made at `step`, oldest first; going on is open whatever it says."""
    if step is Step.WATCH:
        return Advice(Step.TRACE)
    last = verdicts[-IN_A_ROW:]
    if len(last) < IN_A_ROW:
        return Advice(step)
    if all(verdict.formed for verdict in last):
        return Advice(above(step))
    same = {_counted(verdict) for verdict in last}
    # a teacher may find it not well formed where nothing was found
    if len(same) == 1 and None not in same and not any(verdict.formed for verdict in last):
        return Advice(below(step))
    return Advice(step)


def opening(attempts: Sequence[Attempt]) -> Step:
    """The step to write at first today, from this child's attempts at this letter so far, oldest first."""
    written = [
        (attempt.step, verdict)
        for attempt in attempts
        if (verdict := judged(attempt)) and attempt.finished and attempt.step is not Step.WATCH
    ]
    if not written:
        return Step.TRACE
    step = written[-1][0]
    run = [verdict for _, verdict in takewhile(lambda attempted: attempted[0] is step, reversed(written))]
    target = advice(step, run[::-1]).step or step
    return Step.TRACE if target is Step.WATCH else target


def strength(attempts: Iterable[Attempt]) -> int:
    """On how many days this letter was recalled well, less the days on which it was not; never below 0."""
    last_of_day: dict[date, bool] = {}
    for attempt in attempts:
        verdict = judged(attempt)
        if verdict is not None and attempt.finished and attempt.step is Step.RECALL:
            last_of_day[day(attempt)] = verdict.formed
    level = 0
    for well in last_of_day.values():
        level = level + 1 if well else max(0, level - 1)
    return level


def due(attempts: Sequence[Attempt]) -> date:
    """The day from which a letter with these attempts (at least one, oldest first) should come again."""
    return day(attempts[-1]) + GAPS[min(strength(attempts), len(GAPS) - 1)]


def day(attempt: Attempt) -> date:
    """The day of an attempt in this machine's time zone."""
    return attempt.at.astimezone().date()


def is_done(attempts: Sequence[Attempt], today: date) -> bool:
    """Whether the letter has had its share today: recalled well twice."""
    recalled = [judged(a) for a in attempts if day(a) == today and a.step is Step.RECALL and a.finished]
    return sum(verdict is not None and verdict.formed for verdict in recalled) >= IN_A_ROW


def offers(
    attempts: Iterable[Attempt],
    *,
    plan: Sequence[str],
    order: Sequence[str],
    today: date,
    new: Sequence[str] | None = None,
    own_name: Sequence[str] = (),
    count: int = SESSION_LETTERS,
) -> tuple[Offer, ...]:
    """The letters of this session: all that is planned, then what is due, then what is new; never none.

    `attempts` are one child's, oldest first; `order` is the teaching order, and letters outside it are
    not offered. New letters come by themselves only where the teacher has planned none: first those of
    `own_name`, then `new` ones, by default all in that order.
    """
    unplanned = [letter for letter in order if new is None or letter in new]
    by_letter: defaultdict[str, list[Attempt]] = defaultdict(list)
    for attempt in attempts:
        by_letter[attempt.letter].append(attempt)
    left = [letter for letter in order if not is_done(by_letter[letter], today)]
    chosen = [Offer(letter, Why.PLAN) for letter in plan if letter in left]
    waiting = [letter for letter in left if letter not in plan and by_letter[letter]]
    waiting.sort(key=lambda letter: due(by_letter[letter]))
    chosen += [Offer(letter, Why.DUE) for letter in waiting if due(by_letter[letter]) <= today]
    if not plan:
        named = [letter for letter in own_name if letter in left]
        untried = [letter for letter in unplanned if letter in left and letter not in named]
        chosen += [Offer(letter, Why.NEW) for letter in (*named, *untried) if not by_letter[letter]]
    planned = sum(offer.why is Why.PLAN for offer in chosen)
    if not chosen:
        again = [letter for letter in plan if letter in order] or waiting or unplanned
        chosen = [Offer(letter, Why.AGAIN) for letter in again]
    return tuple(chosen[: max(count, planned)])
