"""A class whose record is made at random: habits, weeks of attempts, a teacher's words, letters on paper."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import datetime, time, timedelta
from functools import cache

import numpy as np

from strokes.ink import Ink, Trace
from strokes.kinds import Kind
from strokes.letter import Formation
from strokes.simulation import Fault, write
from tests.desk.visitor import HASH, TODAY
from tests.shipped import PRINT
from trainer.attempt import Attempt, InWord, Observation, Pupil, Step, Verdict, WordPart, WordTry
from trainer.desk.access.passphrase import SETTING
from trainer.judging import Judge
from trainer.record.record import Record

DAY = TODAY.astimezone().date()
DAYS, MOST_ATTEMPTS = 44, 48

SMALL, CAPITALS = "lhcb", "LC"
FAULTS: dict[str, tuple[Fault | None, ...]] = {
    "l": (None, Fault(Kind.DIRECTION), Fault(Kind.SIZE)),
    "h": (None, Fault(Kind.DIRECTION), Fault(Kind.LIFT), Fault(Kind.LETTER, other=PRINT["k"])),
    "c": (None, Fault(Kind.START), Fault(Kind.DIRECTION), Fault(Kind.PLACE)),
    "b": (None, Fault(Kind.DIRECTION), Fault(Kind.REVERSAL), Fault(Kind.LETTER, other=PRINT["d"])),
    "L": (None, Fault(Kind.DIRECTION)),
    "C": (None, Fault(Kind.START)),
}
NAMES = {"Quay": ("Nella", "Abel", "Mika", "Zoë"), "Slipway": ("Bo", "Ida", "Åke")}
MENDS = 1
"""The hand that writes again what is shown to it."""


@cache
def written(letter: str, fault: Fault | None, hand: int) -> tuple[Ink, Verdict, tuple[int, ...]]:
    """Ink of a letter as the window takes it and judges it; one hand writes again what is shown to it."""
    writing = Judge(PRINT).written(letter, Step.COPY)
    for trace in write(PRINT[letter], fault=fault, seed=hand).traces:
        hint = writing.take(trace)
        if hint is not None and hand == MENDS:
            left = Formation("left", hint.formation.strokes[hint.stroke :])
            for retry in write(left, seed=hand).traces:
                writing.take(_later(retry, trace))
            break
    return writing.ink, writing.judged.verdict, writing.judged.shown


def _later(trace: Trace, before: Trace) -> Trace:
    assert trace.times is not None
    assert before.times is not None
    return Trace(trace.points, trace.times + before.times[-1] + 1.0)


def fill(record: Record, random: np.random.Generator) -> None:
    """Two groups with habits, weeks of attempts, words, and what was seen on paper, all at random."""
    record.settings.set(SETTING, HASH)
    pupils = [record.pupils.add(name, group=group) for group, names in NAMES.items() for name in names]
    record.pupils.add("Nora", group="Slipway")  # has not written yet
    left = record.pupils.add("Mads", group="Quay")
    record.attempts.keep_many(list(_attempts(left, random, 12)))
    record.pupils.archive(left.id)
    for pupil in pupils:
        attempts = list(_attempts(pupil, random, int(random.integers(8, MOST_ATTEMPTS))))
        numbers = record.attempts.keep_many(attempts)
        finished = [number for number, attempt in zip(numbers, attempts, strict=True) if attempt.finished]
        for number in random.permutation(finished)[:2]:
            formed, looks = (bool(share < 0.5) for share in random.random(2))
            record.verdicts.overrule(int(number), formed=formed, looks=looks, reason="I saw it", at=TODAY)
        record.observations.keep(_on_paper(pupil, random))
        for _ in range(int(random.integers(3))):
            given = int(random.integers(2, 5))
            tried = WordTry(None, pupil.id, "ship", WordPart.COUNT, _moment(random), asked=3, given=given)
            record.word_tries.keep(tried)
    some = random.permutation([pupil.id for pupil in pupils])[:2]
    asked = TODAY - timedelta(days=4)
    record.plans.add({int(number): ["l", "h", "c"] for number in some}, today=asked.date(), at=asked)


def _attempts(pupil: Pupil, random: np.random.Generator, count: int) -> Iterator[Attempt]:
    """Attempts of a pupil with a habit at each letter, which shows more or less often."""
    letters = random.permutation([*SMALL, *CAPITALS])[: int(random.integers(3, 7))]
    habits = {letter: FAULTS[letter][int(random.integers(len(FAULTS[letter])))] for letter in letters}
    held = {letter: float(random.choice([0.1, 0.5, 0.9])) for letter in letters}
    pauses = random.random() < 0.2
    for _ in range(count):
        letter = str(random.choice(letters))
        fault = habits[letter] if random.random() < held[letter] else None
        ink, verdict, shown = written(letter, fault, int(random.integers(2)))
        ink = _with_pause(ink) if pauses else ink
        step = Step(str(random.choice(["trace", "copy", "copy", "recall", "recall"])))
        word = InWord("hclb", "hclb".index(letter)) if letter in SMALL and random.random() < 0.2 else None
        done, at = random.random() > 0.07, _moment(random)
        judged = verdict if done else None
        yield Attempt(None, pupil.id, letter, step, at, ink, judged, done, shown=shown, in_word=word)


def _moment(random: np.random.Generator) -> datetime:
    """A moment of a school day within the last weeks; later ones are likelier."""
    day = DAY - timedelta(days=1 + int(DAYS * random.random() ** 2))
    seconds = int(random.integers(9 * 3600, 14 * 3600))
    return datetime.combine(day, time()).astimezone() + timedelta(seconds=seconds)


def _with_pause(ink: Ink) -> Ink:
    """The same ink; the pen rested for four seconds in the middle of its first trace."""
    traces = []
    for number, trace in enumerate(ink.traces):
        assert trace.times is not None
        behind = np.arange(len(trace)) >= (0 if number else len(trace) // 2)
        traces.append(Trace(trace.points, trace.times + 4.0 * behind))
    return Ink(tuple(traces))


def _on_paper(pupil: Pupil, random: np.random.Generator) -> list[Observation]:
    seen = [(), (), (Kind.SIZE,), (Kind.START,), (Kind.START, Kind.SIZE)]
    days = [DAY - timedelta(days=int(days)) for days in random.integers(1, DAYS, int(random.integers(6)))]
    return [
        Observation(pupil.id, str(random.choice([*"lhb"])), day, seen[int(random.integers(len(seen)))])
        for day in days
    ]
