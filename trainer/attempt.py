"""Pupils and their attempts: plain frozen types, no database and no screen."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, field
from datetime import date, datetime
from enum import StrEnum
from unicodedata import category, normalize

from strokes.ink import Ink
from strokes.kinds import NOT_FORMED, Kind
from strokes.letter import Hand
from strokes.report import Finding, Report, WordFinding

CARDS = 36
"""How many picture cards there are; they are numbered from 1."""

NAME_LENGTH = 40
"""Characters of a display name or a group's name, at most."""

_INVISIBLE = "Cf"
"""Unicode's category of what only directs other letters: a word processor leaves some in its lists."""


def tidy_name(typed: str) -> str:
    """A name as it is kept: single spaces, one form for each accented letter, no invisible characters.

    Lists that were written on macOS may have é as two characters: it is the same name.
    """
    seen = "".join(letter for letter in typed if category(letter) != _INVISIBLE)
    return normalize("NFC", " ".join(seen.split()))


class Step(StrEnum):
    """How much help the child has, most help first."""

    WATCH = "watch"
    TRACE = "trace"
    COPY = "copy"
    RECALL = "recall"


@dataclass(frozen=True)
class Pupil:
    """All that is kept about a child: a display name, a picture card, a hand and a group.

    `hand` is None while it is not settled or not known. An archived pupil is not offered for practice.
    """

    id: int
    name: str
    card: int
    hand: Hand | None = None
    group: str = ""
    archived: bool = False


@dataclass(frozen=True)
class Newcomer:
    """A pupil who is not in the record yet: the hand is settled later."""

    name: str
    card: int
    group: str


class Outcome(StrEnum):
    """How the pen's way came out: as taught or accepted at the first try, or after a stroke was shown."""

    FORMED = "formed"
    MENDED = "mended"
    NOT_YET = "not_yet"


@dataclass(frozen=True)
class Verdict:
    """What is kept of a report: the formation's name, the two results, the findings in teaching order.

    `formed` goes by the first tries. `mended` tells that they were not well formed, and that each stroke
    that was shown again was then written as shown; it is never true beside `formed`.
    """

    formation: str
    formed: bool
    looks: bool
    findings: tuple[Finding, ...] = ()
    mended: bool = False

    @classmethod
    def of(cls, report: Report) -> Verdict:
        """The part of `report` that outlives it; the geometry of the formation stays in the alphabet."""
        return cls(report.formation.name, report.well_formed, report.looks_right, report.findings)

    @property
    def outcome(self) -> Outcome:
        """Which of the three it is."""
        if self.formed:
            return Outcome.FORMED
        return Outcome.MENDED if self.mended else Outcome.NOT_YET

    def __post_init__(self) -> None:
        if self.formed and self.mended:
            raise ValueError("a verdict must be well formed or mended, not both")


@dataclass(frozen=True)
class PastVerdict:
    """A verdict that newer checks have replaced: which checks gave it, and when it gave way."""

    checks: str
    at: datetime
    verdict: Verdict


@dataclass(frozen=True)
class Overruling:
    """A teacher's own verdict with her reason: it stands beside the checks' one and counts in its place.

    She answers for the whole attempt, yes or no: it is well formed or not yet, and never mended.
    """

    formed: bool
    looks: bool
    reason: str
    at: datetime

    @property
    def outcome(self) -> Outcome:
        """Which of the two it is."""
        return Outcome.FORMED if self.formed else Outcome.NOT_YET


@dataclass(frozen=True)
class Addition:
    """A letter that a teacher put before a pupil's plan, and the day on which she did.

    `at` is the moment, None where it was not kept.
    """

    letter: str
    day: date
    at: datetime | None = None


@dataclass(frozen=True)
class Note:
    """What a teacher wrote down about a pupil, and when."""

    id: int
    at: datetime
    text: str


@dataclass(frozen=True)
class InWord:
    """Where a letter was written as part of a word: the word, and the letter's place in it from 0."""

    word: str
    place: int

    def __post_init__(self) -> None:
        if not 0 <= self.place < len(self.word):
            raise ValueError(f"a place in {self.word!r} must be 0 to {len(self.word) - 1}, not {self.place}")


class WordPart(StrEnum):
    """What was done with a whole word: its sounds counted, a chunk of it known, written on one line."""

    COUNT = "count"
    CHUNK = "chunk"
    RHYME = "rhyme"
    LINE = "line"


@dataclass(frozen=True, eq=False)
class WordTry:
    """One try at a word as a whole; its letters in boxes are attempts.

    COUNT: `asked` are its sounds and `given` the taps. CHUNK: the letters of the rime that she knew from the
    word before, and how many of them she wrote as these letters. RHYME: the words that rhyme with it and were
    to be picked out, and how many she found; `wrong` counts words she took that do not rhyme. LINE: the word
    on one line with its `ink` in letter space, and `findings` of size, base line and spacing by the checks of
    version `checks`. One that was broken off is not `finished`.
    """

    id: int | None
    pupil: int
    word: str
    part: WordPart
    at: datetime
    asked: int = 0
    given: int = 0
    wrong: int = 0
    ink: Ink = field(default_factory=Ink)
    findings: tuple[WordFinding, ...] = ()
    checks: str = ""
    finished: bool = True
    unreadable: str = ""

    def __post_init__(self) -> None:
        if self.at.utcoffset() is None:
            raise ValueError(f"the time of a try must have a time zone, not {self.at.isoformat()}")

    @property
    def missed(self) -> bool:
        """Whether the sounds were miscounted, or something of the chunk or the rhymes was missed."""
        if self.part is WordPart.LINE:
            return False
        return self.finished and (self.given != self.asked or self.wrong > 0)


@dataclass(frozen=True)
class Observation:
    """What a teacher saw of a letter that a pupil wrote on paper, where nothing can be judged: her word.

    `day` is that of the sheet. `seen` are the kinds of what was not as taught, each once and in teaching
    order. It is never counted among attempts. `id` is None until the record has kept it.
    """

    pupil: int
    letter: str
    day: date
    seen: tuple[Kind, ...] = ()
    id: int | None = None

    @property
    def formed(self) -> bool:
        """Whether she saw nothing that is about how the pen moved."""
        return NOT_FORMED.isdisjoint(self.seen)


@dataclass(frozen=True, eq=False)
class Attempt:
    """One try at one letter: the raw ink in letter space with its times, and the verdict on it.

    `at` is the first touch, in UTC. `id` is None until the record has kept it. An attempt that was
    broken off is not `finished` and has no verdict; ink that was erased for its age has no traces.
    `checks` is the version of the checks that judged it, empty where that was not kept. `shown` are the
    traces, counted from 0, after which a stroke was shown again; None where that was not kept.
    `in_word` tells where a letter was written as part of a word.
    `unreadable` says why ink that the record has cannot be read: the attempt has no traces then.
    """

    id: int | None
    pupil: int
    letter: str
    step: Step
    at: datetime
    ink: Ink
    verdict: Verdict | None = None
    finished: bool = True
    checks: str = ""
    overruled: Overruling | None = None
    shown: tuple[int, ...] | None = ()
    unreadable: str = ""
    in_word: InWord | None = None

    @property
    def outcome(self) -> Outcome:
        """How the pen's way came out: the teacher's word before the checks'; without a verdict, not yet."""
        judge = self.overruled or self.verdict
        return judge.outcome if judge else Outcome.NOT_YET

    @property
    def formed(self) -> bool:
        """Whether the pen moved as taught or accepted at the first try."""
        return self.outcome is Outcome.FORMED

    @property
    def mended(self) -> bool:
        """Whether it did so only after a stroke was shown again."""
        return self.outcome is Outcome.MENDED

    @property
    def looks(self) -> bool:
        """Whether the letter looks right: the teacher's word before the checks'."""
        judge = self.overruled or self.verdict
        return judge is not None and judge.looks

    def __post_init__(self) -> None:
        if self.at.utcoffset() is None:
            raise ValueError(f"an attempt's time must have a time zone, not {self.at.isoformat()}")
        if self.finished and self.verdict is None:
            raise ValueError(f"a finished attempt at {self.letter!r} must have a verdict, not None")


def one_thing(findings: Iterable[Finding]) -> Finding | None:
    """The one thing to try: the first finding that is not a note to the teacher; None when there is none."""
    return next((finding for finding in findings if not finding.note), None)
