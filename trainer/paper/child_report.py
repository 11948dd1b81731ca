"""A child's report for the family: two pages in plain words, with pictures, and no ranking of any kind."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta
from functools import cached_property

from strokes.alphabet import Alphabet
from trainer.attempt import Attempt, Pupil
from trainer.drawing import Rect, theme
from trainer.errors import pass_over
from trainer.language import (
    day_words,
    letter_words,
    listed,
    observed_words,
    seen_words,
    teaching_words,
    text,
)
from trainer.paper.choosing import next_letters
from trainer.paper.document import Document, Paper
from trainer.paper.flow import SMALL, Flow
from trainer.paper.pieces import Piece
from trainer.record import Record
from trainer.teaching import (
    TERM,
    LetterFigures,
    Need,
    Summary,
    is_try,
    observed,
    sorted_letters,
    teaching_order,
)

NEXT = 2
"""Letters to practice at home: five minutes are short."""

SHOWN = 3
"""Attempts that are shown as pictures."""

LOOKED_AT = 20
"""Attempts at a letter among which the latest try with ink is looked for."""

MOST_ON_PAPER = 4
"""Letters on paper that are told."""

MODEL_WIDE, MODEL_HIGH = 44.0, 40.0
"""Mm of a letter to practice."""

INK_HIGH = 40.0
"""Mm of an attempt."""


@dataclass(frozen=True)
class ChildReport:
    """What a report says about one child, as of `now`, in the alphabet of the child's group."""

    record: Record
    pupil: Pupil
    alphabet: Alphabet
    now: datetime

    def document(self, paper: Paper) -> Document:
        """The report, of two pages."""
        document = Document(text("paper.report.title", name=self.pupil.name), paper)
        name = self.pupil.name if document.can_print(self.pupil.name) else text("paper.report.no_name")
        flow = Flow(document)
        flow.page()
        self._first_page(flow, name)
        self._foot(flow, name, 1)
        flow.page()
        self._second_page(flow, name)
        self._foot(flow, name, 2)
        return document

    @cached_property
    def summary(self) -> Summary:
        """The child's figures of the whole time."""
        order = teaching_order(self.alphabet)
        return self.record.figures.summary(pupil=self.pupil.id, order=order)

    @property
    def lines(self) -> Sequence[LetterFigures]:
        """The child's letters."""
        return self.summary.by_pupil.get(self.pupil.id, ())

    @cached_property
    def needs(self) -> dict[str, Need]:
        """What came up again and again at a letter: what matters most first."""
        needs: dict[str, Need] = {}
        for need in self.summary.alone:
            if need.letter in self.alphabet:
                needs.setdefault(need.letter, need)
        return needs

    @cached_property
    def next(self) -> tuple[str, ...]:
        """The letters to practice next: those with something to mend, then those that are planned."""
        today = self.now.astimezone().date()
        planned = next_letters(self.record, self.pupil, self.alphabet, today=today)
        return tuple(dict.fromkeys((*self.needs, *planned)))[:NEXT]

    def attempts(self) -> Iterator[Attempt]:
        """The latest tries with ink: at a secure letter, at those to practice next, then at others."""
        sorted_out = sorted_letters(self.lines)
        latest = [line.letter for line in sorted(self.lines, key=lambda line: line.last, reverse=True)]
        secure = [letter for letter in latest if letter in sorted_out.secure]
        shown = 0
        for letter in dict.fromkeys((*secure[:1], *self.next, *latest)):
            if shown < SHOWN and letter in self.alphabet:
                attempt = self.record.attempts.latest_with_ink(self.pupil.id, letter, is_try, n=LOOKED_AT)
                if attempt:
                    shown += 1
                    yield attempt

    def _first_page(self, flow: Flow, name: str) -> None:
        flow.title(text("paper.report.heading", name=name))
        flow.words(self._about(), color=theme.QUIET)
        flow.words(text("export.page.means"))
        if not self.lines:
            flow.words(text("paper.report.nothing"))
        for key, letters in sorted_letters(self.lines)._asdict().items():
            if letters:
                heading = text(f"export.page.{key}")
                flow.heading(heading)
                flow.words(text(f"paper.report.{key}"), size=SMALL, color=theme.QUIET)
                flow.letters(letters, self.alphabet, heading)
        if since := self._secure_since():
            flow.words(since)
        flow.heading(text("paper.report.next"))
        for letter in self.next:
            self._next(flow, letter)

    def _about(self) -> str:
        said = [text("export.page.about", group=self.pupil.group, today=day_words(self.now, year=True))]
        first, last = self.summary.first, self.summary.last
        if first and last:
            days = {"first": day_words(first, year=True), "last": day_words(last, year=True)}
            said.append(text("export.page.span", **days))
        return " ".join(said)

    def _secure_since(self) -> str:
        """Which letters became secure within the last term; nothing where that is all or none of them."""
        today = self.now.astimezone().date()
        first = today - timedelta(weeks=TERM)
        over_time = self.record.figures.over_time(pupil=self.pupil.id, since=first, until=today)
        secure = sorted_letters(self.lines).secure
        own = [letter for letter in over_time.letters if letter.letter in secure]
        became = [letter.letter for letter in own if letter.secure_since != -1]
        if len(became) in (0, len(secure)):
            return ""
        return text(
            "paper.report.became", day=day_words(first, year=True), letters=listed(became, every=True)
        )

    def _next(self, flow: Flow, letter: str) -> None:
        """A letter to practice: as it is taught, what was seen at it, how it goes, and what to do."""
        document, top = flow.document, flow.y
        piece = Piece(letter, self.alphabet)
        flow.model(piece, Rect(flow.left, top, MODEL_WIDE, MODEL_HIGH))
        left = flow.left + MODEL_WIDE + 6
        width = flow.right - left
        need = self.needs.get(letter)
        y = document.say(piece.heading, left, top, width, size=13, bold=True, kind="H2")
        for stroke in self._cues(letter):
            y = document.say(stroke, left, y + 0.6, width, size=10.5)
        if need:
            what = seen_words(need.kind, need.instead, [letter])
            said = text("paper.report.seen", what=what, seen=need.times, tries=need.tries)
            y = document.say(said, left, y + 1.6, width, size=10.5, color=theme.QUIET)
            y = document.say(teaching_words(need.kind), left, y + 0.6, width, size=10.5)
        flow.y = max(top + MODEL_HIGH, y) + 4

    def _cues(self, letter: str) -> list[str]:
        strokes = self.alphabet[letter].taught.strokes
        return [f"{number}  {stroke.cue}" for number, stroke in enumerate(strokes, 1) if stroke.cue]

    def _second_page(self, flow: Flow, name: str) -> None:
        flow.heading(text("paper.report.attempts"))
        attempts = [*self.attempts()]
        if attempts:
            flow.words(text("paper.report.attempts_mean"), color=theme.QUIET)
            self._pictures(flow, attempts, name)
        else:
            flow.words(text("paper.report.no_ink"))
        self._on_paper(flow)
        flow.heading(text("paper.help.title"))
        for number, step in enumerate(self._at_home(), 1):
            flow.words(f"{number}  {step}")
        flow.heading(text("summary.caution.title"))
        for caution in ("counts", "judge", "talk"):
            flow.words(text(f"paper.caution.{caution}"))

    def _on_paper(self, flow: Flow) -> None:
        """What the teacher saw on paper, marked as her word; the letters that were looked at last."""
        observations = self.record.observations.find([self.pupil.id], on_damage=pass_over)
        seen = observed(observations, teaching_order(self.alphabet))
        if seen:
            flow.heading(text("paper.report.on_paper"))
            latest = sorted(seen, key=lambda line: line.last, reverse=True)[:MOST_ON_PAPER]
            for line in seen:
                if line in latest:
                    flow.words(observed_words(*line))
            if len(seen) > MOST_ON_PAPER:
                flow.words(text("paper.report.more_letters", count=len(seen) - MOST_ON_PAPER), size=SMALL)

    def _pictures(self, flow: Flow, attempts: Sequence[Attempt], name: str) -> None:
        """Each attempt with the letter as it is taught above it, side by side."""
        gap = 7.0
        wide = (flow.width - (SHOWN - 1) * gap) / SHOWN
        top, y = flow.y + 1, flow.y
        for place, attempt in enumerate(attempts):
            left = flow.left + place * (wide + gap)
            taught = self.alphabet[attempt.letter].taught
            said = text("pupil.attempt.ink", letter=letter_words(attempt.letter), name=name)
            piece = Piece(attempt.letter, self.alphabet)
            flow.model(piece, Rect(left, top, wide, INK_HIGH))
            below = top + INK_HIGH + 3
            flow.ink(attempt.ink, taught, self.alphabet, Rect(left, below, wide, INK_HIGH), said)
            under = flow.document.say(piece.heading, left, below + INK_HIGH + 1, wide, size=10.5, bold=True)
            step, day = text(f"pupil.step.{attempt.step}"), day_words(attempt.at, year=True)
            outcome = text(f"pupil.verdict.{attempt.outcome}")
            words = [text("export.page.written", outcome=outcome, step=step, day=day)]
            verdict = attempt.verdict
            if verdict and verdict.formed and verdict.formation != taught.name:
                words.append(text("paper.report.accepted"))
            y = max(y, flow.document.say(" ".join(words), left, under, wide, size=10.5))
        flow.y = y + 1

    def _at_home(self) -> Iterator[str]:
        """What a family can do in five minutes, in this order."""
        yield text("paper.help.sit")
        if self.pupil.hand == "left":
            yield text("paper.help.left")
        letters = listed([letter_words(letter) for letter in self.next])
        yield text("paper.help.trace", letters=letters)
        yield text("paper.help.write")
        yield text("paper.help.cover")
        secure = sorted_letters(self.lines).secure
        yield (
            text("paper.help.end_secure", letter=letter_words(secure[0]))
            if secure
            else text("paper.help.end")
        )

    def _foot(self, flow: Flow, name: str, page: int) -> None:
        day = day_words(self.now, year=True)
        flow.foot(text("paper.report.foot", name=name, day=day, page=page, pages=2))


def child_report(
    record: Record, pupil: Pupil, alphabet: Alphabet, paper: Paper, *, now: datetime
) -> Document:
    """The report about a pupil, of two pages."""
    return ChildReport(record, pupil, alphabet, now).document(paper)
