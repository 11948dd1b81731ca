"""Which screen comes next: with `word_navigation` the one module that makes the screens of a session."""

from __future__ import annotations

from collections.abc import Callable
from datetime import datetime
from functools import cached_property, partial

from strokes.ink import Ink
from trainer.attempt import Pupil, Step
from trainer.errors import RecordError
from trainer.judging import Judged
from trainer.language import text
from trainer.practice.assessment import Assessment
from trainer.practice.preparation import Preparation
from trainer.practice.record import PracticeRecord
from trainer.practice.routes import WordRoutes
from trainer.practice.scenes.answer import Answer
from trainer.practice.scenes.asking import Asking
from trainer.practice.scenes.cards import DESK, Cards
from trainer.practice.scenes.letters import Letters
from trainer.practice.scenes.rest import Rest
from trainer.practice.scenes.trouble import Trouble
from trainer.practice.scenes.watching import Watching
from trainer.practice.scenes.writing import Writing
from trainer.practice.session import Session
from trainer.practice.storage import Storage
from trainer.teaching import Alphabets, Used, letter_offers
from trainer.window.scenes.scene import Scene


class Navigation:
    """The routes between the screens of a session (`Routes`, as the screens know them).

    `alphabets` gives a group its own; without it all use that of the session. `desk_line` is what a teacher
    types to open the desk. With `preparation` alphabets are read, and what judging a letter needs is worked
    out, before a child waits for it. A RecordError leads to a screen for the teacher.
    """

    def __init__(
        self,
        session: Session,
        record: PracticeRecord,
        *,
        alphabets: Alphabets | None = None,
        desk_line: str = DESK,
        preparation: Preparation | None = None,
    ) -> None:
        self.session = session
        self.storage = Storage(record, session, alphabets)
        self._alphabets = alphabets
        self._used: list[Used] = []
        self._desk_line = desk_line
        self._preparation = preparation

    # Who, and which letter

    def cards(self, sentence: str = "") -> Scene:
        """Nobody practices: the cards to choose from; `sentence` stands in the place of their question."""
        self.session.leave()
        try:
            pupils = self.storage.all_pupils()
            groups: list[str | None] = [*sorted({pupil.group for pupil in pupils})] or [None]
            self._used = [self._alphabets.of(group) for group in groups] if self._alphabets else []
            to_mend = self._alphabets.to_mend(groups) if self._alphabets else ()
        except RecordError as error:
            return Trouble(self, str(error), partial(self.cards, sentence))
        return Cards(self, pupils, to_mend=to_mend, sentence=sentence, desk_line=self._desk_line)

    def cards_are_shown(self) -> None:
        """While children choose, what comes then is read, and what the first pen-up needs is made."""
        if self._preparation is not None:
            self._preparation.read(self._used)
            self._preparation.warm_up(self.storage.record.attempts)

    def choose(self, pupil: Pupil | None) -> Scene:
        """Somebody chose a card; None is the guest, who becomes a pupil of that name.

        Whose card was in use here a moment ago is asked first: it may be the next child who touched it.
        """
        if pupil is not None and self.session.was_just_here(pupil):
            return Asking(self, pupil)
        return self.welcome(pupil)

    def welcome(self, pupil: Pupil | None) -> Scene:
        """The pupil practices, as of now; one who was erased or archived meanwhile has no card any more."""
        try:
            if not self.storage.admit(pupil):
                return self.cards(text("practice.cards.gone"))
        except RecordError as error:
            return Trouble(self, str(error), self.cards)
        return self.letters()

    def after_erasing(self) -> Scene | None:
        """The cards and a kind word, once, when it came out that who practices was erased meanwhile."""
        if not self.storage.pupil_erased:
            return None
        self.storage.pupil_erased = False
        self.session.pupil = None
        return self.cards(text("practice.cards.gone"))

    def letters(self) -> Scene:
        """The letters of today, chosen anew."""
        if self.session.word is not None:
            return self.words.today()
        self.session.choose_letters()
        return Letters(self)

    @cached_property
    def words(self) -> WordRoutes:
        """Where words lead; their screens are loaded when the first word is practiced."""
        from trainer.practice.word_navigation import WordNavigation

        return WordNavigation(self)

    # The steps

    def begin(self, letter: str) -> Scene:
        """Practice a letter: it is shown first; the writing then starts where this child's record says."""
        self.session.begin(letter)
        self._prepare()
        return self.watch()

    def _prepare(self) -> None:
        if self._preparation is not None:
            self._preparation.begin(self.session.judge, self.session.letter_name)

    def watch(self) -> Scene:
        """Show the letter being written."""
        if self.session.step is Step.WATCH:
            self.session.go_to(Step.TRACE)
        return Watching(self)

    def write(self) -> Scene:
        """Write it, at the step that has been reached."""
        self._prepare()
        return self.words.write_letter() if self.session.word else Writing(self, self.session.step)

    def finish(self, ink: Ink, began: datetime, step: Step, judged: Judged | None) -> Scene:
        """A letter was written with the help of `step` and judged: store it, and only then answer."""
        if step is not self.session.step:
            self.session.go_to(step)
        assessment = Assessment.of(self.session, ink, began, judged)
        self.session.add(assessment.attempt)
        self.storage.add(assessment.attempt)
        return self.store(then=lambda: self._answer(assessment))

    def _answer(self, assessment: Assessment) -> Scene:
        """In a word what stands well leads on to the next letter at once."""
        if self.session.word is not None and self.words.goes_on(assessment):
            return self.words.write()
        return Answer(self, assessment)

    def store(self, *, then: Callable[[], Scene]) -> Scene:
        """Store all that waits, and go on to `then`; if that fails, the teacher hears of it first."""
        try:
            self.storage.store_all()
        except RecordError as error:
            return Trouble(self, str(error), then)
        return self.after_erasing() or then()

    def leave(self) -> Scene:
        """Away from a letter that is not finished: its draft stays, also one that waits to be stored."""
        return self.letters() if self.storage.leave_draft() else self.store(then=self.letters)

    # What comes next

    def again(self) -> Scene:
        """The same step once more."""
        self._take_back()
        return self.rested(self.write)

    def easier(self) -> Scene:
        """A step down."""
        self._take_back()
        self.session.go_to(letter_offers.below(self.session.step))
        return self.rested(self.watch if self.session.step is Step.WATCH else self.write)

    def on(self) -> Scene:
        """A step up, or the next letter, in a word that of the word: always open."""
        if self.session.word is not None:
            return self.words.write()
        above = letter_offers.above(self.session.step)
        if above is None:
            return self.rested(self._next_letter)
        self.session.go_to(above)
        return self.rested(self.write)

    def _take_back(self) -> None:
        """A letter of a word that is written again takes the place of what was just written."""
        if self.session.word is not None:
            self.session.word.take_back()

    def _next_letter(self) -> Scene:
        """The next letter of today's, or all of them again when this was the last."""
        letter = self.session.next_letter
        return self.letters() if letter is None else self.begin(letter)

    def rested(self, then: Callable[[], Scene]) -> Scene:
        """A rest comes between two attempts, never inside one."""
        if self.session.practiced < self.session.rest_after:
            return then()
        self.session.practiced = 0.0
        return Rest(self, then)
