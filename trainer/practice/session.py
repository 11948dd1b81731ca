"""One child's practice at the window: who practices, which letter at which step, and how it went so far.

State alone: it asks no record and knows no screen. `storage` writes what comes of it, `assessment` judges it,
and `navigation` leads from screen to screen.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from datetime import UTC, datetime, timedelta
from typing import TYPE_CHECKING

from strokes.alphabet import Alphabet
from strokes.ink import Ink
from strokes.letter import Hand, Letter
from strokes.tolerances import Tolerances
from trainer.attempt import Attempt, InWord, Pupil, Step, Verdict
from trainer.judging import Judge
from trainer.speech import Silence, Voice
from trainer.teaching import Advice, Offer, letter_offers, name_letters, taught_to_all, teaching_order

if TYPE_CHECKING:
    from trainer.practice.word_in_hand import WordInHand
    from trainer.wordbank import Word

A_MOMENT = timedelta(minutes=3)
"""For so long a card that was in use here is asked about: by then the next child has come to the screen."""


class Session:
    """Who practices at the window and what they are doing; nobody and nothing at first.

    `alphabet` is that of who practices: None where each group has its own, which is read with the pupil.
    `rest_after` and `practiced` are seconds of practice. Letters are judged by `tolerances`. `history` holds
    the pupil's attempts without their ink, oldest first, `plan` the letters that are planned, `offers` those
    of today, `words` the words of today and `able` all that can be written. `word` is the word in hand, None
    while letters are practiced alone, and `last_word` the one before it.
    """

    def __init__(
        self,
        alphabet: Alphabet | None,
        *,
        voice: Voice | None = None,
        motion: bool = True,
        rest_after: float = letter_offers.REST_AFTER,
        tolerances: Tolerances | None = None,
        now: Callable[[], datetime] = lambda: datetime.now(UTC),
    ) -> None:
        self._alphabet = alphabet
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
        self.letter_name = ""
        self.step = Step.WATCH
        self.words: tuple[Word, ...] = ()
        self.able: tuple[Word, ...] = ()
        self.word: WordInHand | None = None
        self.last_word: Word | None = None
        self._begun: dict[str, WordInHand] = {}
        self._verdicts: list[Verdict] = []
        self._last: tuple[int, datetime] | None = None

    @property
    def alphabet(self) -> Alphabet:
        """The letters of who practices; nobody may ask while nobody does."""
        assert self._alphabet is not None
        return self._alphabet

    @alphabet.setter
    def alphabet(self, alphabet: Alphabet) -> None:
        self._alphabet = alphabet

    @property
    def hand(self) -> Hand | None:
        """The pupil's hand; None while nobody practices, or when it is not known."""
        return self.pupil.hand if self.pupil else None

    @property
    def judge(self) -> Judge:
        """Who judges this child's letters."""
        return Judge(self.alphabet, self.hand, self.tolerances)

    @property
    def letter(self) -> Letter:
        """The letter being practiced."""
        return self.alphabet[self.letter_name]

    def leave(self) -> None:
        """Nobody practices any more; who did is remembered for a moment."""
        if self.pupil is not None:
            self._last = (self.pupil.id, self.now())
        self.pupil = None
        self.practiced = 0.0
        self.word = self.last_word = None
        self._begun.clear()

    def was_just_here(self, pupil: Pupil) -> bool:
        """Whether this pupil was the last to practice here, a moment ago."""
        if self._last is None:
            return False
        number, at = self._last
        return number == pupil.id and self.now() - at < A_MOMENT

    def choose_letters(self) -> None:
        """Choose the letters of today anew."""
        self.offers = letter_offers.offers(
            self.history,
            plan=self.plan,
            order=teaching_order(self.alphabet),
            new=taught_to_all(self.alphabet),
            today=self.now().astimezone().date(),
            own_name=name_letters(self.pupil.name, self.alphabet) if self.pupil else (),
        )

    @property
    def letters(self) -> tuple[str, ...]:
        """Those of the alphabet that this child may choose from: the ones that all are taught, and its own.

        Its own are planned, stand in its name, or were written before: an ø is no letter to a child who needs
        none.
        """
        name = self.pupil.name if self.pupil else ""
        own = {*self.plan, *name_letters(name, self.alphabet), *(attempt.letter for attempt in self.history)}
        every = own.union(taught_to_all(self.alphabet))
        return tuple(letter for letter in self.alphabet if letter in every)

    def begin(self, letter: str) -> None:
        """Practice a letter, from the step that this child's attempts at it have reached."""
        self.leave_word()
        self.letter_name = letter
        alone = [a for a in self.history if a.letter == letter and a.in_word is None]
        self.go_to(letter_offers.opening(alone))

    def begin_word(self, word: WordInHand) -> None:
        """Practice a word; one that was left halfway goes on where it was."""
        self.leave_word()
        self.word = self._begun.pop(word.text, word)

    def leave_word(self) -> None:
        """Away from the word in hand: what is written of it stays for as long as this child is here."""
        if self.word is not None and not self.word.done:
            self._begun[self.word.text] = self.word
        self.word = None

    def begin_place(self) -> None:
        """The next letter of the word in hand, with the help that the word is written with."""
        assert self.word is not None
        self.letter_name = self.word.letter
        self.go_to(self.word.step)

    @property
    def in_word(self) -> InWord | None:
        """Where in a word the letter in hand stands."""
        return InWord(self.word.text, self.word.place) if self.word else None

    def go_to(self, step: Step) -> None:
        """Another step: how it went at the one before counts no more."""
        self.step, self._verdicts = step, []

    def add(self, attempt: Attempt) -> None:
        """An attempt was made at the letter and step in hand."""
        self.history.append(replace(attempt, ink=Ink()))
        if attempt.verdict is not None:
            self._verdicts.append(attempt.verdict)

    @property
    def advice(self) -> Advice:
        """What is advised after the attempts at this step."""
        return letter_offers.advice(self.step, self._verdicts)

    @property
    def next_letter(self) -> str | None:
        """The letter of today after the one in hand; None after the last, and where it is none of them."""
        names = [offer.letter for offer in self.offers]
        if self.letter_name not in names:
            return None
        return next(iter(names[names.index(self.letter_name) + 1 :]), None)
