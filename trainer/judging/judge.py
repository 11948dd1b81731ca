"""The one place where an attempt is judged: an alphabet, a hand and tolerances give the verdict of ink.

What is present (parts missing or too many, another letter, the look) is judged on the letter as it stands;
how it was done (start, direction, order, lifts) on the first tries. Whatever was written again after it was
shown takes the place of what stood there, and what was wrong with that is told all the same.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field, replace
from typing import TYPE_CHECKING, Literal, TypeAlias

from strokes.alphabet import Alphabet
from strokes.checks import check, checks_version
from strokes.ink import Ink, Trace
from strokes.letter import Hand
from strokes.report import Report, in_teaching_order
from strokes.tolerances import Tolerances, stage_of
from trainer.attempt import Step, Verdict
from trainer.judging.following import Following, Hint

if TYPE_CHECKING:
    from strokes.words import WordReport, WordTolerances

There: TypeAlias = Literal["well", "there", "no"]
"""Whether a letter is all there: well formed, with something to try, or not yet."""


@dataclass(frozen=True)
class Judged:
    """An attempt judged whole.

    `report` is of all its ink: what is present by the `current` traces, of which the letter consists, and how
    it was done by the first tries. `shown` are the traces, by number, after which a stroke was shown again.
    `stands_well` tells that the letter as it stands is all there and well formed, however it got there.
    """

    report: Report
    current: tuple[int, ...]
    shown: tuple[int, ...] = ()
    stands_well: bool = False

    @property
    def mended(self) -> bool:
        """Whether the first tries were not well formed, and what was shown was then written as shown."""
        return self.stands_well and not self.report.well_formed

    @property
    def verdict(self) -> Verdict:
        """What is kept of it."""
        return replace(Verdict.of(self.report), mended=self.mended)

    @property
    def there(self) -> There:
        """Whether the letter is all there."""
        if self.stands_well:
            return "well"
        return "no" if self.report.unfinished else "there"


@dataclass(frozen=True)
class Judge:
    """Judges letters of one alphabet, written by one hand."""

    alphabet: Alphabet
    hand: Hand | None = None
    tolerances: Tolerances = field(default_factory=Tolerances)

    def checks_version(self, letter: str) -> str:
        """By which checks, and which form of the letter, a verdict is given now."""
        return checks_version(
            self.alphabet[letter], guide=self.alphabet.guide, hand=self.hand, tolerances=self.tolerances
        )

    def written(self, letter: str, step: Step) -> Written:
        """A letter about to be written at a step."""
        return Written(self, letter, step)

    def judge(self, letter: str, ink: Ink, step: Step, shown: Sequence[int] | None = ()) -> Judged:
        """Judge kept ink.

        `shown` are the traces after which a stroke was shown again when it was written; None where that was
        not kept: then it is decided as the window would today. Raises InkError for ink without traces.
        """
        written = self.written(letter, step)
        for number, trace in enumerate(ink.traces):
            written.take(trace, shown=None if shown is None else number in shown)
        return written.judged

    def word(self, text: str, ink: Ink) -> WordReport:
        """What is to be seen in ink that stands between the lines as a word. Raises InkError."""
        from strokes.words import check_word  # needed by words alone

        return check_word(
            ink,
            [self.alphabet[letter] for letter in text],
            guide=self.alphabet.guide,
            hand=self.hand,
            tolerances=self._word_tolerances,
        )

    def word_checks_version(self, text: str) -> str:
        """By which checks, and which form of its letters, a word on one line is judged now."""
        from strokes.words import word_checks_version

        return word_checks_version(
            [self.alphabet[letter] for letter in text],
            guide=self.alphabet.guide,
            hand=self.hand,
            tolerances=self._word_tolerances,
        )

    @property
    def _word_tolerances(self) -> WordTolerances:
        from strokes.words import WordTolerances

        return WordTolerances.of(stage_of(self.tolerances))

    def check(self, letter: str, ink: Ink) -> Report:
        """What is to be seen in ink that stands between the lines as one letter."""
        return check(
            ink,
            self.alphabet[letter],
            guide=self.alphabet.guide,
            hand=self.hand,
            tolerances=self.tolerances,
        )


class Written:
    """A letter that is being written: its ink so far, what stands of it, and what is to be said of it.

    The window, `rehearse` and whoever judges kept ink send each trace through `take`.
    """

    def __init__(self, judge: Judge, letter: str, step: Step) -> None:
        self.judge, self.letter = judge, letter
        self.following = Following(
            judge.alphabet[letter],
            hand=judge.hand,
            guide=judge.alphabet.guide,
            step=step,
            tolerances=judge.tolerances,
        )
        self.ink = Ink()
        self._judged: Judged | None = None

    def take(self, trace: Trace, *, shown: bool | None = None) -> Hint | None:
        """Add a trace that was just finished; a Hint when its stroke should be shown again.

        `shown` tells, for ink that was kept, whether a stroke was shown then. Nothing is shown where the
        letter is all there with this trace and well formed as a whole.
        """
        self.ink, self._judged = self.ink.plus(trace), None
        hint = self.following.take(trace, shown=shown)
        if hint is not None and shown is None and self.judged.stands_well:
            self.following.undo()
            hint = self.following.take(trace, shown=False)
            self._judged = None
        return hint

    def pass_over(self) -> None:
        """The last trace could not be judged: it stands for nothing."""
        self.following.pass_over(len(self.ink))

    def undo(self) -> None:
        """Take the last trace back."""
        self.ink, self._judged = Ink(self.ink.traces[:-1]), None
        self.following.undo()

    def forget(self) -> None:
        """Start again."""
        self.ink, self._judged = Ink(), None
        self.following.forget()

    @property
    def judged(self) -> Judged:
        """All of it judged, once for each trace. Raises InkError where there is no ink."""
        if self._judged is None:
            self._judged = self._whole()
        return self._judged

    def _whole(self) -> Judged:
        """The letter as it stands; without what was shown and not written again, if it stands well so."""
        following, count = self.following, len(self.ink)
        unmended = following.back | set(following.shown)
        report, current = self._standing(following.back)
        if not _stands_well(report) and len(following.back) < len(unmended) < count:
            other, rest = self._standing(unmended)
            if _stands_well(other):
                report, current = other, rest
        first = _first_tries(report, current, following.hints, count)
        return Judged(first, current, following.shown, stands_well=_stands_well(report))

    def _standing(self, gone: frozenset[int]) -> tuple[Report, tuple[int, ...]]:
        """The report on the traces that are not gone, and their numbers."""
        current = tuple(k for k in range(len(self.ink)) if k not in gone)
        return self.judge.check(self.letter, Ink(tuple(self.ink.traces[k] for k in current))), current


def _stands_well(report: Report) -> bool:
    return report.well_formed and not report.unfinished


def _first_tries(
    report: Report, current: tuple[int, ...], hints: Sequence[Hint | None], count: int
) -> Report:
    """The report on what stands as one on all `count` traces, with what went wrong in those stepped back."""
    findings = [
        finding if finding.trace is None else replace(finding, trace=current[finding.trace])
        for finding in report.findings
    ]
    known = {(finding.kind, finding.stroke) for finding in findings}
    for trace, hint in enumerate(hints):
        if hint is None or trace in current:
            continue
        stroke = _same_stroke(report, hint)
        if (hint.kind, stroke) not in known:
            known.add((hint.kind, stroke))
            findings.append(replace(hint.finding, stroke=stroke, trace=trace))
    assigned = dict(zip(current, report.assigned, strict=True))
    return replace(
        report,
        findings=in_teaching_order(findings),
        assigned=tuple(assigned.get(k, ()) for k in range(count)),
    )


def _same_stroke(report: Report, hint: Hint) -> int:
    """The stroke of the formation as it stands that took the place of one that was shown in another."""
    if hint.formation is report.formation:
        return hint.stroke
    return min(hint.stroke, len(report.formation.strokes) - 1)
