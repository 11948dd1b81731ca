"""An invented class of a small harbor town, with a term of attempts by a simulated hand.

Every child has stated habits: what goes wrong, at which letters, and the week in which it is taught
again. After that week the habit fades. Nothing here was measured on children; it only lets every
command show something at once.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import UTC, datetime, time, timedelta
from functools import cache
from pathlib import Path

import numpy as np

from strokes.alphabet import Alphabet
from strokes.ink import Ink, Trace
from strokes.kinds import Kind
from strokes.letter import Formation, Hand, Letter
from strokes.simulation import Fault, write
from strokes.tolerances import Tolerances
from trainer import places
from trainer.attempt import Attempt, Observation, Pupil, Step, Verdict, WordPart, WordTry
from trainer.errors import PlaceError
from trainer.judging import Judge
from trainer.record import Record
from trainer.teaching import by_set, is_try, lesson_planning, taught_to_all

WEEKS = 12
DAYS = (1, 3)  # Tuesday and Thursday
NEW, REVIEWED = 1, 2  # letters a session: new ones of the week, and earlier ones
LATE, DIGITS = 4, "123"  # last weeks, in which a session has a capital or one of these digits besides
STAGE = "growing"  # how strictly the class is judged
STEPS = (Step.TRACE, Step.COPY, Step.RECALL)

HANDS = 3
"""How many inks the simulated hand writes of each letter and fault. Judging takes milliseconds, so a term
of thousands of attempts draws from these instead of judging each anew."""

MENDING = 1
"""Which of these hands writes again what is shown to it."""

LOOKED = 2.0
"""Seconds until then."""

SHAKE, RESTED, UNSETTLED = 0.04, 4.0, 2
"""X-heights of a hand that shakes, seconds of a pen that pauses, and the last weeks in which they do."""

HELD, FADE, SLIP, AWAY = 0.8, 0.25, 0.05, 0.06
"""Shares: a habit shows, loses a week once taught, a good letter slips all the same, a child is away."""


@dataclass(frozen=True)
class Habit:
    """What goes wrong at these letters until `taught`, the week in which it is taught again."""

    letters: str
    fault: Fault
    taught: int = WEEKS + 1
    steps: tuple[Step, ...] = STEPS


@dataclass(frozen=True)
class Child:
    """One of the invented class; at `noted` letters the child writes in a way that is worth a note.

    In the last weeks the pen `shakes`, or it `pauses`, in every letter. `weeks` is how many of the term's
    weeks the child is there; who `left` is archived.
    """

    name: str
    group: str
    hand: Hand | None
    habits: tuple[Habit, ...] = ()
    noted: str = ""
    shakes: bool = False
    pauses: bool = False
    weeks: int = WEEKS
    left: bool = False


@dataclass(frozen=True)
class Word:
    """A teacher's own verdict on the child's last try that was not found well formed."""

    name: str
    reason: str


_FROM_MEMORY = (Step.RECALL,)
_BACKWARDS, _STARTED, _MIRRORED = Fault(Kind.DIRECTION), Fault(Kind.START), Fault(Kind.REVERSAL)
_LIFTED, _OPEN, _FLOATING, _SMALL = Fault(Kind.LIFT), Fault(Kind.CLOSURE), Fault(Kind.PLACE), Fault(Kind.SIZE)

CLASS = (
    Child("Abel", "Quay", "right", (Habit("lit", _BACKWARDS, 4), Habit("bhk", _BACKWARDS))),
    Child(
        "Brida",
        "Quay",
        "left",
        (Habit("adg", _OPEN, 8), Habit("s", _MIRRORED, steps=_FROM_MEMORY)),
        pauses=True,
    ),
    Child("Cosmo", "Quay", "right", (Habit("oc", _STARTED, 5), Habit("bp", _LIFTED, 11)), noted="t"),
    Child("Dalia", "Quay", "right", (Habit("hk", _BACKWARDS), Habit("yg", _FLOATING))),
    Child("Edda", "Quay", "right", (Habit("nmr", _STARTED),)),
    Child("Fenn", "Quay", None, (Habit("coa", _BACKWARDS, 7), Habit("nmr", _STARTED), Habit("z", _MIRRORED))),
    Child(
        "Gesa", "Slipway", "right", (Habit("ij", Fault(Kind.MISSING, stroke=1), 3), Habit("e", _BACKWARDS))
    ),
    Child("Hamid", "Slipway", "right", (Habit("bd", _MIRRORED, steps=_FROM_MEMORY), Habit("e", _BACKWARDS))),
    Child("Ilka", "Slipway", "right", (), noted="t", weeks=WEEKS - 2),
    Child(
        "Joris", "Slipway", "left", (Habit("co", _BACKWARDS, 6), Habit("hkb", _SMALL), Habit("J3", _MIRRORED))
    ),
    Child(
        "Kaisa", "Slipway", "right", (Habit("x", Fault(Kind.DIRECTION, stroke=1)), Habit("e", _BACKWARDS, 10))
    ),
    Child("Lubo", "Slipway", "right", (Habit("yvw", _BACKWARDS), Habit("jgq", _FLOATING, 9)), shakes=True),
    Child("Mads", "Quay", "right", (Habit("lt", _LIFTED),), weeks=5, left=True),
    Child("Nora", "Slipway", None, weeks=0),
)
PLANS = {"Quay": ("h", "k", "n", "r"), "Slipway": ("e", "b", "x")}
PLANNED_WORDS = {"Quay": ("net", "ship", "chip", "fish"), "Slipway": ("bed", "web")}
WORD_TRIES = (
    ("Abel", "ship", WordPart.COUNT, 3, 3),
    ("Edda", "ship", WordPart.COUNT, 3, 4),
    ("Fenn", "ship", WordPart.COUNT, 3, 4),
    ("Edda", "chip", WordPart.CHUNK, 2, 1),
    ("Dalia", "net", WordPart.RHYME, 3, 3),
    ("Gesa", "bed", WordPart.COUNT, 3, 3),
)
"""Whose try at which word, and of how many sounds or letters how many were there."""
OWN_PLANS = {"Hamid": ("d", "b", "e")}
TAUGHT = {
    "Quay": (
        *("ff:F", "ll:L", "ss:S", "zz:Z", "ck:K", "s:Z", "sh:SH", "ch:CH", "th:TH", "th:DH", "ng:NG", "n:NG"),
        *("qu:K,W", "wh:W", "exceptions"),
    ),
    "Slipway": ("ff:F", "ll:L", "ss:S", "zz:Z", "ck:K", "s:Z", "sh:SH", "ch:CH"),
}
LESSON_GROUP, LESSON_AGO = "Quay", timedelta(days=12)
OWN_WORDS = {"jetty": "j e tt y:IY", "slipway": "s l i p w ay"}
NOTES = (
    ("Brida", 23, "Turned the paper to the right, so that her left hand sees the line. It helped."),
    ("Edda", 9, "Starts n at the top when she says the move first. Keep saying it together."),
    ("Fenn", 31, "No settled hand yet: left for the spoon, right for the pen."),
    ("Fenn", 3, "Took the pen in the right hand all morning."),
    ("Ilka", 15, "At home with a broken arm until the end of the month."),
    ("Nora", 1, "New in class, moved here from the island."),
)
ON_PAPER = (
    ("Joris", "h", 2, ()),
    ("Joris", "h", 9, (Kind.SIZE,)),
    ("Joris", "k", 2, (Kind.SIZE, Kind.PLACE)),
)
"""What the teacher saw on sheets: of whom, at which letter, so many days ago, and what was not as taught."""

WORDS = (
    Word("Ilka", "The tablet was pushed while she wrote."),
    Word("Dalia", "I sat beside her: she started at the top, and the pen skipped."),
    Word("Joris", "He showed me the same letter on paper, and it was well made."),
)


def fill(place: Path | str, *, today: datetime | None = None, seed: int = 7) -> Record:
    """A new record in a folder, or at an address, with the class and its term up to `today`.

    The caller closes it. The same day and seed give the same attempts. Raises PlaceError when the folder
    has a record, or the one at the address has pupils.
    """
    file = place / places.RECORD if isinstance(place, Path) else None
    if file and file.exists():
        raise PlaceError(f"{place} has a record already; choose a new or empty folder for the invented class")
    today = today or datetime.now(UTC)
    record = Record.open(file or place, now=today)
    try:
        if record.pupils.groups():
            raise PlaceError(
                f"{record.place} has pupils already; choose an empty database for the invented class"
            )
        _Term(today, seed).write(record)
    except BaseException:
        record.close()
        raise
    return record


@dataclass
class _Term:
    today: datetime
    seed: int

    def __post_init__(self) -> None:
        self.alphabet = _alphabet()
        self.random = np.random.default_rng(self.seed)
        self.extra_random = np.random.default_rng(self.seed + 1)

    def write(self, record: Record) -> None:
        for child in CLASS:
            pupil = record.pupils.add(child.name, hand=child.hand, group=child.group)
            attempts = list(self._attempts(child, pupil))
            numbers = record.attempts.keep_many(attempts)
            self._overrule(record, child, dict(zip(numbers, attempts, strict=True)))
            for name, days, said in NOTES:
                if name == child.name:
                    record.notes.add(pupil.id, said, at=self.today - timedelta(days=days, hours=1))
            record.observations.keep(
                Observation(pupil.id, letter, self.today.date() - timedelta(days=days), seen)
                for name, letter, days, seen in ON_PAPER
                if name == child.name
            )
            if child.name in OWN_PLANS:
                record.plans.set(child.group, OWN_PLANS[child.name], pupil=pupil.id)
            for name, word, part, asked, given in WORD_TRIES:
                if name == child.name:
                    at = self.today - timedelta(days=1)
                    record.word_tries.keep(WordTry(None, pupil.id, word, part, at, asked=asked, given=given))
            if child.left:
                record.pupils.archive(pupil.id)
        record.settings.set("stage", STAGE)
        for group, letters in PLANS.items():
            record.plans.set(group, letters)
            record.words.set_taught(group, TAUGHT[group])
            record.plans.set_words(group, PLANNED_WORDS[group])
        record.words.add(OWN_WORDS)
        self._keep_lesson(record)

    def _keep_lesson(self, record: Record) -> None:
        """The lesson that was proposed to a group on a day that is over; its letters were written since."""
        moment = self.today - LESSON_AGO
        summary = record.figures.summary(
            LESSON_GROUP, until=moment.date(), families=lambda _: self.alphabet.families, other=False
        )
        state = lesson_planning.GroupState.of(
            LESSON_GROUP,
            summary,
            self.alphabet,
            own=OWN_WORDS,
            marked=frozenset(TAUGHT[LESSON_GROUP]),
            today=moment.date(),
        )
        record.lessons.keep(lesson_planning.suggested(state, lesson_planning.next_day(moment.date())), moment)

    def _overrule(self, record: Record, child: Child, attempts: dict[int, Attempt]) -> None:
        for word in WORDS:
            odd = [number for number, attempt in attempts.items() if is_try(attempt) and not attempt.formed]
            if word.name == child.name and odd:
                at = attempts[odd[-1]].at + timedelta(hours=5)
                record.verdicts.overrule(odd[-1], formed=True, looks=True, reason=word.reason, at=at)

    def _attempts(self, child: Child, pupil: Pupil) -> Iterator[Attempt]:
        monday = self.today.date() - timedelta(days=self.today.weekday(), weeks=WEEKS - 1)
        for week in range(child.weeks):
            for day in DAYS:
                at = datetime.combine(monday + timedelta(weeks=week, days=day), time(9, 10), UTC)
                if self.random.random() < AWAY or at.date() >= self.today.date():
                    continue
                session = [(letter, self.random) for letter in self._session(week, day)]
                if week >= WEEKS - LATE:
                    session.append((self._extra(week, day, child), self.extra_random))
                for letter, random in session:
                    for step in STEPS:
                        at += timedelta(seconds=int(random.integers(12, 40)))
                        yield self._attempt(child, pupil, letter, step, week, at, random)

    def _extra(self, week: int, day: int, child: Child) -> str:
        """The first letter of the name on one day of a late week, a digit on the other."""
        return child.name[0] if day == DAYS[0] else DIGITS[(week + LATE - WEEKS) % len(DIGITS)]

    def _session(self, week: int, day: int) -> list[str]:
        """The small letters of a session: those new this week, then earlier ones again."""
        order = by_set(taught_to_all(self.alphabet))["small"]
        known = max(2, len(order) * (week + 1) // WEEKS)
        before = len(order) * week // WEEKS
        new = order[before:known]
        fresh = [letter for place, letter in enumerate(new) if place % len(DAYS) == DAYS.index(day)]
        earlier = [letter for letter in order[:known] if letter not in fresh]
        again = self.random.permutation(len(earlier))[: NEW + REVIEWED - len(fresh) + 1]
        return fresh + [earlier[place] for place in again]

    def _attempt(
        self,
        child: Child,
        pupil: Pupil,
        letter: str,
        step: Step,
        week: int,
        at: datetime,
        random: np.random.Generator,
    ) -> Attempt:
        variant = int(random.integers(HANDS))
        fault = self._fault(child, letter, step, week, random)
        lately = week >= WEEKS - UNSETTLED
        shake = SHAKE if child.shakes and lately else 0.0
        ink, verdict, shown = _judged(letter, fault, child.hand, letter in child.noted, variant, shake)
        if child.pauses and lately:
            ink = _with_pause(ink)
        checks = _judge(child.hand).checks_version(letter)
        return Attempt(None, pupil.id, letter, step, at, ink, verdict, checks=checks, shown=shown)

    def _fault(
        self, child: Child, letter: str, step: Step, week: int, random: np.random.Generator
    ) -> Fault | None:
        chance, slip = random.random(2)
        for habit in child.habits:
            if letter in habit.letters and step in habit.steps:
                held = HELD - FADE * max(0, week - habit.taught + 1)
                if chance < held:
                    return habit.fault
        return _STARTED if slip < SLIP and step is not Step.TRACE else None


@cache
def _alphabet() -> Alphabet:
    return Alphabet.load()


def _judge(hand: Hand | None) -> Judge:
    return Judge(_alphabet(), hand, Tolerances.of(STAGE))


@cache
def _judged(
    name: str, fault: Fault | None, hand: Hand | None, noted: bool, variant: int, shake: float
) -> tuple[Ink, Verdict, tuple[int, ...]]:
    """Ink with a fault as the window would have taken it; one hand of three mends what is shown to it.

    The some 400 that a term holds are judged once in a process, whatever day it ends on.
    """
    written = _judge(hand).written(name, Step.COPY)
    way = _way(_alphabet()[name], hand, noted)
    for trace in write(way, fault=fault, seed=variant, tremor=0.03, shake=shake).traces:
        hint = written.take(trace)
        if hint is not None and variant == MENDING:
            again = Formation(way.name, hint.formation.strokes[hint.stroke :])
            for retry in write(again, seed=variant, tremor=0.03, shake=shake).traces:
                written.take(_after(retry, trace))
            break
    return written.ink, written.judged.verdict, written.judged.shown


def _after(trace: Trace, earlier: Trace) -> Trace:
    """A trace that was written a moment after an earlier one."""
    assert trace.times is not None
    assert earlier.times is not None
    return Trace(trace.points, trace.times + earlier.times[-1] + LOOKED)


def _with_pause(ink: Ink) -> Ink:
    """The same ink; the pen rested in the middle of its first trace."""
    middle, traces = len(ink.traces[0]) // 2, []
    for number, trace in enumerate(ink.traces):
        assert trace.times is not None
        behind = np.arange(len(trace)) >= (0 if number else middle)
        traces.append(Trace(trace.points, trace.times + RESTED * behind))
    return Ink(tuple(traces))


def _way(letter: Letter, hand: Hand | None, noted: bool) -> Formation:
    """How this child writes the letter: as a left hand may, in the way worth a note, or as taught."""
    accepted = letter.accepted(hand)
    own = [
        formation
        for formation in accepted
        if (noted and formation.note) or (formation.hand == "left" and not formation.note)
    ]
    return own[0] if own else letter.taught
