"""Which screen comes next: the one module that makes the screens of a session."""

from __future__ import annotations

import logging
from collections.abc import Callable, Iterable, Sequence
from datetime import datetime
from functools import partial
from typing import TYPE_CHECKING

from strokes.alphabet import Alphabet
from strokes.ink import Ink
from strokes.kinds import Kind
from strokes.words import WordReport
from trainer.attempt import Pupil, Step, WordPart, WordTry
from trainer.errors import RecordError
from trainer.judging import Judged
from trainer.language import text
from trainer.practice.assessment import Assessment
from trainer.practice.record import PracticeRecord
from trainer.practice.scenes.answer import Answer
from trainer.practice.scenes.asking import Asking
from trainer.practice.scenes.cards import Cards
from trainer.practice.scenes.letters import Letters
from trainer.practice.scenes.line_writing import LineAnswer, LineWriting
from trainer.practice.scenes.reading_back import ReadingBack
from trainer.practice.scenes.rest import Rest
from trainer.practice.scenes.rhyming import MakingRhyme, Rhyming
from trainer.practice.scenes.scene import Scene
from trainer.practice.scenes.trouble import Trouble
from trainer.practice.scenes.watching import Watching
from trainer.practice.scenes.word_counting import Counting
from trainer.practice.scenes.word_hearing import Hearing
from trainer.practice.scenes.word_writing import WordWriting
from trainer.practice.scenes.words import Words
from trainer.practice.scenes.writing import Writing
from trainer.practice.session import Session
from trainer.practice.storage import Storage
from trainer.practice.word_in_hand import WordInHand
from trainer.teaching import lesson

if TYPE_CHECKING:
    from trainer.teaching.word_lesson import RhymeRound
    from trainer.wordbank import Word

_log = logging.getLogger(__name__)

NOT_THE_LETTER = frozenset({Kind.LETTER, Kind.REVERSAL, Kind.MISSING})
"""Findings with which the ink is not the letter that was asked for."""


class Navigation:
    """The routes between the screens of a session (`Routes`, as the screens know them).

    `alphabet_of` gives a group its alphabet; without it all use the same one. `to_mend` tells what a grown-up
    must mend in the alphabets of some groups. A RecordError leads to a screen for the teacher.
    """

    def __init__(
        self,
        session: Session,
        record: PracticeRecord,
        *,
        alphabet_of: Callable[[str], Alphabet] | None = None,
        to_mend: Callable[[Iterable[str | None]], Sequence[str]] | None = None,
    ) -> None:
        self.session = session
        self.storage = Storage(record, session, alphabet_of=alphabet_of)
        self._to_mend = to_mend or (lambda _: ())

    # Who, and which letter

    def cards(self, sentence: str = "") -> Scene:
        """Nobody practices: the cards to choose from; `sentence` stands in the place of their question."""
        self.session.leave()
        try:
            pupils = self.storage.all_pupils()
            to_mend = self._to_mend(sorted({pupil.group for pupil in pupils}) or [None])
        except RecordError as error:
            return Trouble(self, str(error), partial(self.cards, sentence))
        return Cards(self, pupils, to_mend=to_mend, sentence=sentence)

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
            return self.words()
        self.session.choose_letters()
        return Letters(self)

    # Words

    def words(self) -> Scene:
        """The words of today, chosen anew."""
        from trainer.teaching import word_lesson  # the words are read when one is practiced

        session = self.session
        session.leave_word()
        assert session.pupil is not None
        try:
            kept = self.storage.words()
        except RecordError as error:
            return Trouble(self, str(error), self.words)
        session.able = word_lesson.able(
            session.history, alphabet=session.alphabet, own=kept.own, marked=kept.marked
        )
        session.words = word_lesson.in_rimes(
            word_lesson.offered(
                session.history,
                alphabet=session.alphabet,
                own=kept.own,
                marked=kept.marked,
                planned=kept.planned,
                due=session.plan,
                name=session.pupil.name,
            )
        )
        return Words(self)

    def begin_word(self, word: Word) -> Scene:
        """Practice a word: it is heard first; one that was left halfway is written on."""
        from trainer.teaching import word_lesson

        session = self.session
        chunk = word_lesson.chunk(word, session.last_word)
        session.begin_word(WordInHand(word, word_lesson.opening(word, session.history), chunk))
        assert session.word is not None
        return self.write_word() if session.word.written or not word.boxes else Hearing(self)

    def count(self) -> Scene:
        """Count the sounds of the word in hand."""
        return Counting(self)

    def write_word(self) -> Scene:
        """Write the letter of the word in hand that is due; a word that is all there is read back."""
        word = self.session.word
        assert word is not None
        if word.done:
            return self._written(word)
        self.session.begin_place()
        return self.write()

    def _written(self, word: WordInHand) -> Scene:
        """A word that is all there is read back; of a chunk that was known it is kept how it was written."""
        pupil = self.session.pupil
        assert pupil is not None
        if not word.chunk:
            return ReadingBack(self, word)
        well = len(word.read.intersection(word.chunk))
        now, asked = self.session.now(), len(word.chunk)
        tried = WordTry(None, pupil.id, word.text, WordPart.CHUNK, now, asked=asked, given=well)
        return self.tried_word(tried, then=lambda: ReadingBack(self, word))

    def tried_word(self, tried: WordTry, *, then: Callable[[], Scene]) -> Scene:
        """Something was done with a whole word: store it, and go on to `then`."""
        self.storage.add(tried)
        return self.store(then=then)

    def after_word(self) -> Scene:
        """The word in hand was written and read back: once more with less shown, at last on one line."""
        word = self.session.word
        assert word is not None
        above = lesson.above(word.step)
        if above is not None:
            self.session.begin_word(WordInHand(word.word, above, word.chunk))
            return self._rested(self.write_word)
        return self._rested(self.write_line)

    def write_line(self) -> Scene:
        """Write the word in hand on one line, with no boxes."""
        return LineWriting(self)

    def finish_line(self, ink: Ink, began: datetime) -> Scene:
        """A word was written on one line: judge it, store it, and only then answer."""
        session, word = self.session, self.session.word
        assert word is not None
        assert session.pupil is not None
        report = self._judge_line(word.text, ink)
        tried = WordTry(
            None,
            session.pupil.id,
            word.text,
            WordPart.LINE,
            began,
            ink=ink,
            findings=report.findings if report else (),
            checks=session.judge.word_checks_version(word.text) if report else "",
            finished=report is not None,
        )
        return self.tried_word(tried, then=lambda: LineAnswer(self, ink, report))

    def _judge_line(self, text: str, ink: Ink) -> WordReport | None:
        """What is to be seen; an error inside the checks is logged, and practice goes on."""
        try:
            return self.session.judge.word(text, ink)
        except Exception:
            _log.exception("a word could not be judged; its ink is kept")
            return None

    def next_word(self) -> Scene:
        """A round of rhymes where there are some, and then the next word of today."""
        from trainer.teaching import word_lesson

        session = self.session
        assert session.word is not None
        session.last_word = session.word.word
        rhymes = word_lesson.rhyme_round(session.last_word, session.able)
        return self._rested(self._next_word if rhymes is None else lambda: Rhyming(self, rhymes))

    def make_rhyme(self, rhymes: RhymeRound) -> Scene:
        """Make a word that rhymes, where one can be made; else on."""
        return MakingRhyme(self, rhymes) if rhymes.made else self.after_rhymes()

    def after_rhymes(self) -> Scene:
        """The next word of today, or all of them again after the last."""
        return self._next_word()

    def _next_word(self) -> Scene:
        from trainer.teaching import word_lesson

        assert self.session.word is not None
        word = self.session.word.word
        following = word_lesson.following(word, self.session.words)
        return self.words() if following is None else self.begin_word(following)

    def _after_letter(self, assessment: Assessment) -> Scene:
        """In a word what stands well leads on to the next letter; else, and alone, the letter is answered."""
        word, judged = self.session.word, assessment.judged
        if word is None:
            return Answer(self, assessment)
        kinds = {finding.kind for finding in judged.report.findings} if judged else set()
        word.take(assessment.attempt.ink, is_letter=judged is not None and not kinds & NOT_THE_LETTER)
        if judged is None or (judged.stands_well and assessment.saying.is_praise):
            return self.write_word()
        return Answer(self, assessment)

    def _again_in_word(self) -> None:
        """The letter that was just written is written again, where it is one of a word."""
        if self.session.word is not None:
            self.session.word.take_back()

    # The steps

    def begin(self, letter: str) -> Scene:
        """Practice a letter: it is shown first; the writing then starts where this child's record says."""
        self.session.begin(letter)
        return self.watch()

    def watch(self) -> Scene:
        """Show the letter being written."""
        if self.session.step is Step.WATCH:
            self.session.go_to(Step.TRACE)
        return Watching(self)

    def write(self) -> Scene:
        """Write it, at the step that has been reached."""
        scene = Writing if self.session.word is None else WordWriting
        return scene(self, self.session.step)

    def finish(self, ink: Ink, began: datetime, step: Step, judged: Judged | None) -> Scene:
        """A letter was written with the help of `step` and judged: store it, and only then answer."""
        if step is not self.session.step:
            self.session.go_to(step)
        assessment = Assessment.of(self.session, ink, began, judged)
        self.session.add(assessment.attempt)
        self.storage.add(assessment.attempt)
        return self.store(then=lambda: self._after_letter(assessment))

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
        self._again_in_word()
        return self._rested(self.write)

    def easier(self) -> Scene:
        """A step down."""
        self._again_in_word()
        self.session.go_to(lesson.below(self.session.step))
        return self._rested(self.watch if self.session.step is Step.WATCH else self.write)

    def on(self) -> Scene:
        """A step up, or the next letter, in a word that of the word: always open."""
        if self.session.word is not None:
            return self.write_word()
        above = lesson.above(self.session.step)
        if above is None:
            return self._rested(self._next_letter)
        self.session.go_to(above)
        return self._rested(self.write)

    def _next_letter(self) -> Scene:
        """The next letter of today's, or all of them again when this was the last."""
        letter = self.session.next_letter
        return self.letters() if letter is None else self.begin(letter)

    def _rested(self, then: Callable[[], Scene]) -> Scene:
        """A rest comes between two attempts, never inside one."""
        if self.session.practiced < self.session.rest_after:
            return then()
        self.session.practiced = 0.0
        return Rest(self, then)
