"""One child's time at the window: who, which letter and step, what is kept; it makes the screens.

Whatever the record cannot take stays in `unkept` and is offered to it again with the next attempt.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from dataclasses import replace
from datetime import UTC, datetime, timedelta
from functools import partial

from strokes.alphabet import Alphabet
from strokes.ink import Ink
from strokes.letter import Hand, Letter
from strokes.report import Finding
from strokes.tolerances import Tolerances
from trainer.attempt import Attempt, Pupil, Step, Verdict
from trainer.errors import PupilError, RecordError
from trainer.judging import Judge, Judged
from trainer.language import Saying, phrases, text
from trainer.practice.record import PracticeRecord
from trainer.practice.scenes.scene import Scene
from trainer.speech import Silence, Voice
from trainer.teaching import Offer, lesson, tries

A_MOMENT = timedelta(minutes=3)
"""For so long a card that was in use here is asked about: by then the next child has come to the screen."""


class Sitting:
    """Who sits at the window and what they are doing; the screens ask it what comes next.

    `alphabet_of` gives a group its alphabet; without it all use the same one. `to_mend` tells what a grown-up
    must mend in the alphabets of some groups. Letters are judged by `tolerances`.
    """

    def __init__(
        self,
        record: PracticeRecord,
        alphabet: Alphabet,
        *,
        alphabet_of: Callable[[str], Alphabet] | None = None,
        to_mend: Callable[[Iterable[str | None]], Sequence[str]] | None = None,
        voice: Voice | None = None,
        motion: bool = True,
        rest_after: float = lesson.REST_AFTER,
        tolerances: Tolerances | None = None,
        now: Callable[[], datetime] = lambda: datetime.now(UTC),
    ) -> None:
        self.record = record
        self.alphabet = alphabet
        self._alphabet_of = alphabet_of
        self.to_mend = to_mend or (lambda _: ())
        self.voice = voice or Silence()
        self.motion = motion
        self.rest_after = rest_after
        self.tolerances = tolerances or Tolerances()
        self.now = now
        self.practiced = 0.0
        self.pupil: Pupil | None = None
        self.history: list[Attempt] = []
        self.plan: tuple[str, ...] = ()
        self.offers: tuple[Offer, ...] = ()
        self.unkept: list[Attempt] = []
        self._unkept_draft: Attempt | None = None
        self.letter_name = ""
        self.step = Step.WATCH
        self._verdicts: list[Verdict] = []
        self._last: tuple[int, datetime] | None = None
        self._erased = False

    @property
    def hand(self) -> Hand | None:
        """The hand of whoever sits here; None before anybody does, or when it is not known."""
        return self.pupil.hand if self.pupil else None

    @property
    def judge(self) -> Judge:
        """Who judges this child's letters."""
        return Judge(self.alphabet, self.hand, self.tolerances)

    @property
    def letter(self) -> Letter:
        """The letter being practiced."""
        return self.alphabet[self.letter_name]

    # Who, and which letter

    def cards(self, told: str = "") -> Scene:
        """Nobody sits here: the cards to choose from; `told` stands in the place of their question."""
        from trainer.practice.scenes.cards import Cards
        from trainer.practice.scenes.trouble import Trouble

        if self.pupil is not None:
            self._last = (self.pupil.id, self.now())
        self.pupil = None
        self.practiced = 0.0
        try:
            return Cards(self, told)
        except RecordError as error:
            return Trouble(self, str(error), partial(self.cards, told))

    def choose(self, pupil: Pupil | None) -> Scene:
        """Somebody chose a card; None is the guest, who becomes a pupil of that name.

        Whose card was in use here a moment ago is asked first: it may be the next child who touched it.
        """
        from trainer.practice.scenes.asking import Asking

        if pupil is not None and self._last is not None:
            number, at = self._last
            if number == pupil.id and self.now() - at < A_MOMENT:
                return Asking(self, pupil)
        return self.welcome(pupil)

    def welcome(self, pupil: Pupil | None) -> Scene:
        """The pupil sits down, as of now; one who was erased or archived meanwhile has no card any more."""
        from trainer.practice.scenes.trouble import Trouble

        try:
            if pupil is not None:
                pupil = self.record.pupils.get(pupil.id)
                if pupil is None or pupil.archived:
                    return self.cards(text("practice.cards.gone"))
            self.pupil = pupil or self.record.pupils.add(text("practice.cards.guest"))
            self.history = list(self.record.attempts.find(self.pupil.id, ink=False))
            if self._alphabet_of is not None:
                self.alphabet = self._alphabet_of(self.pupil.group)
            planned = self.record.plans.for_pupil(self.pupil.id)
            self.plan = tuple(letter for letter in planned if letter in self.alphabet)
        except RecordError as error:
            return Trouble(self, str(error), self.cards)
        return self.letters()

    def away(self) -> Scene | None:
        """The cards and a kind word, once, when it came out that who sits here was erased meanwhile."""
        if not self._erased:
            return None
        self._erased = False
        self.pupil = None
        return self.cards(text("practice.cards.gone"))

    def _forget(self, number: int) -> None:
        """A pupil was erased: nothing of that one waits any more."""
        self.unkept = [attempt for attempt in self.unkept if attempt.pupil != number]
        self._erased = self._erased or (self.pupil is not None and self.pupil.id == number)

    def letters(self) -> Scene:
        """The letters of today, chosen anew."""
        from trainer.practice.scenes.letters import Letters

        self.offers = lesson.offers(
            self.history,
            plan=self.plan,
            order=self.alphabet.order or tuple(self.alphabet),
            today=self.now().astimezone().date(),
        )
        return Letters(self)

    def begin(self, letter: str) -> Scene:
        """Practice a letter: it is shown first; the writing then starts where this child's record says."""
        self.letter_name = letter
        self.step = lesson.opening([attempt for attempt in self.history if attempt.letter == letter])
        self._verdicts = []
        return self.watch()

    # The steps

    def watch(self) -> Scene:
        """Show the letter being written."""
        from trainer.practice.scenes.watching import Watching

        if self.step is Step.WATCH:
            self.step = Step.TRACE
        return Watching(self)

    def write(self) -> Scene:
        """Write it, at the step that has been reached."""
        from trainer.practice.scenes.writing import Writing

        return Writing(self, self.step)

    def finish(self, ink: Ink, began: datetime, step: Step, judged: Judged | None) -> Scene:
        """A letter was written with the help of `step` and judged: keep it, and only then answer.

        All ink is kept. What could not be judged (None) is kept as broken off, and nothing is said of it.
        """
        from trainer.practice.scenes.answer import Answer

        assert self.pupil is not None
        if step is not self.step:
            self.step, self._verdicts = step, []
        attempt = Attempt(None, self.pupil.id, self.letter_name, step, began, ink, finished=False)
        saying, formation = Saying(text("practice.answer.kept")), self.letter.taught
        if judged is not None:
            verdict, formation = judged.verdict, judged.report.formation
            checks = self.judge.edition(self.letter_name)
            attempt = replace(attempt, verdict=verdict, finished=True, checks=checks, shown=judged.shown)
            saying = phrases.say(judged, self._before(), guide=self.alphabet.guide)
            self._verdicts.append(verdict)
        self.history.append(replace(attempt, ink=Ink()))
        self.unkept.append(attempt)
        self._unkept_draft = None
        advice = lesson.advice(self.step, self._verdicts)
        return self.keep(then=lambda: Answer(self, ink, formation, saying, advice, judged))

    def _before(self) -> tuple[Finding, ...] | None:
        """The findings on this child's last attempt at this letter, if there was one."""
        past = (tries.judged(a) for a in reversed(self.history) if a.letter == self.letter_name)
        last = next((verdict for verdict in past if verdict is not None), None)
        return last.findings if last is not None else None

    def keep(self, *, then: Callable[[], Scene]) -> Scene:
        """Keep all that waits, and go on to `then`; if that fails, the teacher is told first."""
        from trainer.practice.scenes.trouble import Trouble

        try:
            self.keep_all()
        except RecordError as error:
            return Trouble(self, str(error), then)
        return self.away() or then()

    def keep_all(self) -> None:
        """Keep all that waits, oldest first. Raises RecordError; what was not kept goes on waiting.

        What waits of a pupil who was erased meanwhile is erased as well.
        """
        while self.unkept:
            try:
                self.record.attempts.keep(self.unkept[0])
            except PupilError:
                self._forget(self.unkept[0].pupil)
            else:
                del self.unkept[0]

    def keep_draft(self, ink: Ink, began: datetime, step: Step) -> None:
        """Keep what is written so far; if that fails it waits, and nobody is stopped inside a letter."""
        assert self.pupil is not None
        self._unkept_draft = None
        try:
            if len(ink):
                self.record.attempts.keep_draft(self.pupil.id, self.letter_name, step, ink)
            else:
                self.record.attempts.drop_draft(self.pupil.id)
        except PupilError:
            self._forget(self.pupil.id)
        except RecordError:
            if len(ink):
                self._unkept_draft = Attempt(
                    None, self.pupil.id, self.letter_name, step, began, ink, finished=False
                )

    def leave(self) -> Scene:
        """Away from a letter that is not finished: its draft stays, also one that waits to be kept."""
        assert self.pupil is not None
        if self._unkept_draft is None:
            self.record.attempts.leave_draft(self.pupil.id)
            return self.letters()
        self._break_off()
        return self.keep(then=self.letters)

    def close(self) -> None:
        """The window is gone: offer the record once more what waits. Raises RecordError if that fails."""
        self._break_off()
        self.keep_all()

    def _break_off(self) -> None:
        """The letter in hand will not be finished: what the record did not take of it waits with the rest."""
        if self._unkept_draft is not None:
            self.unkept.append(self._unkept_draft)
            self._unkept_draft = None

    # What comes next

    def again(self) -> Scene:
        """The same step once more."""
        return self._rested(self.write)

    def easier(self) -> Scene:
        """A step down."""
        self.step, self._verdicts = lesson.below(self.step), []
        return self._rested(self.watch if self.step is Step.WATCH else self.write)

    def on(self) -> Scene:
        """A step up, or the next letter: always open."""
        above = lesson.above(self.step)
        if above is None:
            return self._rested(self._next_letter)
        self.step, self._verdicts = above, []
        return self._rested(self.write)

    def _next_letter(self) -> Scene:
        """The next letter of today's, or all of them again when this was the last."""
        names = [offer.letter for offer in self.offers]
        if self.letter_name in names:
            after = names[names.index(self.letter_name) + 1 :]
            if after:
                return self.begin(after[0])
        return self.letters()

    def _rested(self, then: Callable[[], Scene]) -> Scene:
        """A rest comes between two attempts, never inside one."""
        from trainer.practice.scenes.rest import Rest

        if self.practiced < self.rest_after:
            return then()
        self.practiced = 0.0
        return Rest(self, then)
