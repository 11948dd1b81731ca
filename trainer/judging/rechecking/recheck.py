"""Old ink judged again by the checks and the letters of today, on all cores.

The work is cut into batches. Other processes judge and nothing else; this one reads and writes, a batch a
transaction. An attempt that today's version of the checks has judged is passed over, so a run that was
stopped goes on where it ended. Whatever the number of attempts, a few batches are in memory.
"""

from __future__ import annotations

import os
from array import array
from collections import Counter, deque
from collections.abc import Callable, Iterator, Sequence
from concurrent.futures import Future, ProcessPoolExecutor
from concurrent.futures.process import BrokenProcessPool
from dataclasses import dataclass, field
from datetime import datetime
from multiprocessing import get_context
from typing import TYPE_CHECKING

from strokes.alphabet import Alphabet
from strokes.letter import Hand
from strokes.tolerances import Tolerances
from trainer.errors import TrainerError
from trainer.judging.judge import Judge
from trainer.judging.rechecking.workers import Job, JobResult, judge, prepare, start_apart

if TYPE_CHECKING:
    from trainer.record import Record

BATCH = 200
"""Attempts of one batch: about a second of judging, and less to lose by a kill."""

WORTH_LANES = 10_000
"""Attempts from which compiled lanes are worth their import in each process, where they are installed."""

MOST_PROCESSES = 60
"""No more are started; Windows cannot wait for more than that."""


@dataclass
class Outcome:
    """What was done: `better` are well formed now and were not before, `worse` the other way round.

    `damaged` gives the reason by attempt, `damaged_words` by the number of a word on one line. `unknown`
    counts attempts at letters that no alphabet has by now.
    """

    judged: int = 0
    better: int = 0
    worse: int = 0
    damaged: dict[int, str] = field(default_factory=dict)
    unknown: Counter[str] = field(default_factory=Counter)
    damaged_words: dict[int, str] = field(default_factory=dict)


def _unheard(_: object) -> None:
    pass


class Recheck:
    """One run over a record. `alphabet_of` gives the alphabet that a group uses, `tolerances` judge."""

    def __init__(
        self,
        record: Record,
        alphabet_of: Callable[[str], Alphabet],
        tolerances: Tolerances,
        *,
        since: datetime | None = None,
    ) -> None:
        self._record = record
        self._hands: dict[int, Hand | None] = {}
        self._places: dict[int, int] = {}
        self._alphabets: list[Alphabet] = []
        self._tolerances = tolerances
        self._keys: dict[tuple[int, str, Hand | None], int] = {}
        self._stale, self._key_of, self._formed = array("q"), array("l"), array("b")
        self.outcome = Outcome()
        self._meet_pupils(alphabet_of)
        self._find_stale(since)
        self._lines = self._stale_lines(since)

    def __len__(self) -> int:
        """How many attempts and words on one line are to be judged again."""
        return len(self._stale) + len(self._lines)

    def run(self, *, processes: int | None = None, progress: Callable[[int], object] = _unheard) -> Outcome:
        """Judge all of them; `progress` hears after each batch how many were done in it.

        Raises RecordError when the record cannot be written, and TrainerError when a process ends
        unasked. What was written until then stays, and the next run goes on from there.
        """
        count = min(processes or _cores(), MOST_PROCESSES, max(1, -(-len(self._stale) // BATCH)))
        if count == 1:
            for done in self.steps():
                progress(done)
            return self.outcome
        pool = ProcessPoolExecutor(
            count,
            get_context("spawn"),
            start_apart,
            (self._alphabets, self._tolerances, True if len(self) >= WORTH_LANES else None),
        )
        try:
            waiting: deque[tuple[int, Future[list[JobResult]]]] = deque()
            for first, jobs in self._batches():
                waiting.append((first, pool.submit(judge, jobs)))
                if len(waiting) > 2 * count:  # enough that no process waits, and no more in memory
                    progress(self._write(*_next(waiting)))
            while waiting:
                progress(self._write(*_next(waiting)))
        except BrokenProcessPool as error:
            raise TrainerError(
                "a process that judged ink ended unasked; what was judged is kept, start again to go on"
            ) from error
        finally:
            pool.shutdown(cancel_futures=True)
        for done in self._judge_lines():
            progress(done)
        return self.outcome

    def steps(self) -> Iterator[int]:
        """Judge a batch in this process whenever the next step is asked for; gives how many were in it.

        What another run does between two steps changes nothing in it.
        """
        for first, jobs in self._batches():
            prepare(self._alphabets, self._tolerances)
            yield self._write(first, judge(jobs))
        yield from self._judge_lines()

    def _meet_pupils(self, alphabet_of: Callable[[str], Alphabet]) -> None:
        groups: dict[str, int] = {}
        for pupil in self._record.pupils.find(archived=True):
            self._hands[pupil.id] = pupil.hand
            if pupil.group not in groups:
                alphabet = alphabet_of(pupil.group)
                if alphabet not in self._alphabets:
                    self._alphabets.append(alphabet)
                groups[pupil.group] = self._alphabets.index(alphabet)
            self._places[pupil.id] = groups[pupil.group]

    def _find_stale(self, since: datetime | None) -> None:
        """Note the attempts that another version judged: three numbers for each, however long its ink."""
        for attempt in self._record.ink.judged(since):
            if attempt.pupil not in self._places:  # added while this run began
                continue
            place, hand = self._places[attempt.pupil], self._hands[attempt.pupil]
            alphabet = self._alphabets[place]
            if attempt.letter not in alphabet:
                self.outcome.unknown[attempt.letter] += 1
            elif attempt.checks != self._checks_version(alphabet, attempt.letter, hand):
                self._stale.append(attempt.number)
                self._key_of.append(self._keys.setdefault((place, attempt.letter, hand), len(self._keys)))
                self._formed.append(attempt.formed)

    def _stale_lines(self, since: datetime | None) -> array[int]:
        """The words on one line that another version judged, by number; their letters must still be there."""
        stale = array("q")
        for line in self._record.word_tries.lines(since):
            if line.pupil not in self._places:
                continue
            judge, known = self._judge_of(line.pupil), self._alphabets[self._places[line.pupil]]
            if set(line.word) <= set(known) and line.checks != judge.word_checks_version(line.word):
                stale.append(line.number)
        return stale

    def _judge_of(self, pupil: int) -> Judge:
        return Judge(self._alphabets[self._places[pupil]], self._hands[pupil], self._tolerances)

    def _judge_lines(self) -> Iterator[int]:
        """Judge words on one line in this process, as they are few; gives how many were in each batch."""
        for first in range(0, len(self._lines), BATCH):
            numbers = self._lines[first : first + BATCH]
            verdicts = []
            for tried in self._record.word_tries.find(numbers=numbers, on_damage=_unheard):
                if tried.unreadable:
                    self.outcome.damaged_words[tried.id or 0] = tried.unreadable
                elif tried.ink.traces:
                    judge = self._judge_of(tried.pupil)
                    findings = judge.word(tried.word, tried.ink).findings
                    verdicts.append((tried.id or 0, judge.word_checks_version(tried.word), findings))
            self.outcome.judged += self._record.word_tries.judged_again(verdicts)
            yield len(numbers)

    def _checks_version(self, alphabet: Alphabet, letter: str, hand: Hand | None) -> str:
        """The version of today, by the stage that the teacher chose."""
        return Judge(alphabet, hand, self._tolerances).checks_version(letter)

    def _batches(self) -> Iterator[tuple[int, list[Job]]]:
        """Where each batch begins, and its jobs."""
        keys = list(self._keys)
        for first in range(0, len(self._stale), BATCH):
            span = slice(first, first + BATCH)
            key_of = dict(zip(self._stale[span], self._key_of[span], strict=True))
            jobs = [
                Job(attempt.number, *keys[key_of[attempt.number]], attempt.step, attempt.ink)
                for attempt in self._record.ink.encoded(list(key_of))
            ]
            yield first, jobs

    def _write(self, first: int, results: Sequence[JobResult]) -> int:
        """Put the verdicts of a batch into the record, in one transaction; tells how many attempts it had."""
        span = slice(first, first + BATCH)
        keys = list(self._keys)
        key_of = dict(zip(self._stale[span], self._key_of[span], strict=True))
        formed = dict(zip(self._stale[span], self._formed[span], strict=True))
        verdicts = []
        for result in results:
            if result.verdict is None:
                self.outcome.damaged[result.number] = result.problem
                continue
            place, letter, hand = keys[key_of[result.number]]
            alphabet = self._alphabets[place]
            checks = self._checks_version(alphabet, letter, hand)
            verdicts.append((result.number, checks, result.verdict))
            self.outcome.better += result.verdict.formed and not formed[result.number]
            self.outcome.worse += bool(formed[result.number]) and not result.verdict.formed
        self.outcome.judged += self._record.verdicts.replace(verdicts)
        return len(key_of)


def _next(waiting: deque[tuple[int, Future[list[JobResult]]]]) -> tuple[int, list[JobResult]]:
    first, future = waiting.popleft()
    return first, future.result()


def _cores() -> int:
    """The cores that this process may use."""
    if hasattr(os, "sched_getaffinity"):
        return len(os.sched_getaffinity(0))
    return os.cpu_count() or 1
