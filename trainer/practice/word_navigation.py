"""Which screen of a word comes next; loaded with these screens when the first word is practiced."""

from __future__ import annotations

import logging
from collections.abc import Callable
from datetime import datetime

from strokes.ink import Ink
from strokes.kinds import Kind
from strokes.words import WordReport
from trainer.attempt import WordPart, WordTry
from trainer.errors import RecordError
from trainer.practice.assessment import Assessment
from trainer.practice.routes import Routes
from trainer.practice.scenes.line_writing import LineAnswer, LineWriting
from trainer.practice.scenes.reading_back import ReadingBack
from trainer.practice.scenes.rhyming import MakingRhyme, Rhyming
from trainer.practice.scenes.trouble import Trouble
from trainer.practice.scenes.word_counting import Counting
from trainer.practice.scenes.word_hearing import Hearing
from trainer.practice.scenes.word_writing import WordWriting
from trainer.practice.scenes.words import Words
from trainer.practice.word_in_hand import WordInHand
from trainer.teaching import letter_offers, word_offers
from trainer.teaching.word_offers import RhymeRound
from trainer.window.scenes.scene import Scene
from trainer.wordbank import Word

NOT_THE_LETTER = frozenset({Kind.LETTER, Kind.REVERSAL, Kind.MISSING})
"""Findings with which the ink is not the letter that was asked for."""

_log = logging.getLogger(__name__)


class WordNavigation:
    """The routes of words (`WordRoutes`) beside the other `routes` of a session."""

    def __init__(self, routes: Routes) -> None:
        self.routes = routes
        self.session = routes.session

    def today(self) -> Scene:
        """The words of today, chosen anew."""
        session = self.session
        session.leave_word()
        assert session.pupil is not None
        try:
            words_kept = self.routes.storage.words()
        except RecordError as error:
            return Trouble(self.routes, str(error), self.today)
        session.able = word_offers.able(
            session.history, alphabet=session.alphabet, own=words_kept.own, marked=words_kept.marked
        )
        session.words = word_offers.in_rimes(
            word_offers.offered(
                session.history,
                alphabet=session.alphabet,
                own=words_kept.own,
                marked=words_kept.marked,
                planned=words_kept.planned,
                due=session.plan,
                name=session.pupil.name,
            )
        )
        return Words(self.routes)

    def begin(self, word: Word) -> Scene:
        """Practice a word: it is heard first; one that was left halfway is written on."""
        session = self.session
        chunk = word_offers.chunk(word, session.last_word)
        session.begin_word(WordInHand(word, word_offers.opening(word, session.history), chunk))
        assert session.word is not None
        return self.write() if session.word.written or not word.boxes else Hearing(self.routes)

    def count(self) -> Scene:
        """Count the sounds of the word in hand."""
        return Counting(self.routes)

    def write(self) -> Scene:
        """Write the letter of the word in hand that is due; a word that is all there is read back."""
        word = self.session.word
        assert word is not None
        if word.done:
            return self._written(word)
        self.session.begin_place()
        return self.write_letter()

    def write_letter(self) -> Scene:
        """Write the letter in hand, at the step that has been reached."""
        return WordWriting(self.routes, self.session.step)

    def goes_on(self, assessment: Assessment) -> bool:
        """Take the letter that was written; whether the next one comes at once, as it stands well."""
        word, judged = self.session.word, assessment.judged
        assert word is not None
        kinds = {finding.kind for finding in judged.report.findings} if judged else set()
        word.take(assessment.attempt.ink, is_letter=judged is not None and not kinds & NOT_THE_LETTER)
        return judged is None or (judged.stands_well and assessment.saying.is_praise)

    def _written(self, word: WordInHand) -> Scene:
        """A word that is all there is read back; of a chunk that was known it is kept how it was written."""
        pupil = self.session.pupil
        assert pupil is not None
        if not word.chunk:
            return ReadingBack(self.routes, word)
        well = len(word.read.intersection(word.chunk))
        now, asked = self.session.now(), len(word.chunk)
        tried = WordTry(None, pupil.id, word.text, WordPart.CHUNK, now, asked=asked, given=well)
        return self.tried(tried, then=lambda: ReadingBack(self.routes, word))

    def tried(self, tried: WordTry, *, then: Callable[[], Scene]) -> Scene:
        """Something was done with a whole word: store it, and go on to `then`."""
        self.routes.storage.add(tried)
        return self.routes.store(then=then)

    def after_writing(self) -> Scene:
        """The word in hand was written and read back: once more with less shown, at last on one line."""
        word = self.session.word
        assert word is not None
        above = letter_offers.above(word.step)
        if above is not None:
            self.session.begin_word(WordInHand(word.word, above, word.chunk))
            return self.routes.rested(self.write)
        return self.routes.rested(self.write_line)

    def write_line(self) -> Scene:
        """Write the word in hand on one line, with no boxes."""
        return LineWriting(self.routes)

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
        return self.tried(tried, then=lambda: LineAnswer(self.routes, ink, report))

    def _judge_line(self, text: str, ink: Ink) -> WordReport | None:
        """What is to be seen; an error inside the checks is logged, and practice goes on."""
        try:
            return self.session.judge.word(text, ink)
        except Exception:
            _log.exception("a word could not be judged; its ink is kept")
            return None

    def next(self) -> Scene:
        """A round of rhymes where there are some, and then the next word of today."""
        session = self.session
        assert session.word is not None
        session.last_word = session.word.word
        rhymes = word_offers.rhyme_round(session.last_word, session.able)
        return self.routes.rested(self._next_word if rhymes is None else lambda: Rhyming(self.routes, rhymes))

    def make_rhyme(self, rhymes: RhymeRound) -> Scene:
        """Make a word that rhymes, where one can be made; else on."""
        return MakingRhyme(self.routes, rhymes) if rhymes.made else self.after_rhymes()

    def after_rhymes(self) -> Scene:
        """The next word of today, or all of them again after the last."""
        return self._next_word()

    def _next_word(self) -> Scene:
        assert self.session.word is not None
        word = self.session.word.word
        following = word_offers.following(word, self.session.words)
        return self.today() if following is None else self.begin(following)
