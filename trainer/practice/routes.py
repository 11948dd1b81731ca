"""Where a screen can lead: what the screens know of navigation, declared below them, as it makes them."""

from __future__ import annotations

from collections.abc import Callable
from datetime import datetime
from typing import TYPE_CHECKING, Protocol

from strokes.ink import Ink
from trainer.attempt import Pupil, Step, WordTry
from trainer.judging import Judged
from trainer.practice.assessment import Assessment
from trainer.practice.session import Session
from trainer.practice.storage import Storage
from trainer.window.scenes.scene import Scene

if TYPE_CHECKING:
    from trainer.teaching.word_offers import RhymeRound
    from trainer.wordbank import Word


class WordRoutes(Protocol):
    """Gives a screen of words the next one."""

    def today(self) -> Scene:
        """The words of today, chosen anew."""

    def begin(self, word: Word) -> Scene:
        """Practice a word: it is heard first; one that was left halfway is written on."""

    def count(self) -> Scene:
        """Count the sounds of the word in hand."""

    def write(self) -> Scene:
        """Write the letter of the word in hand that is due."""

    def write_letter(self) -> Scene:
        """Write the letter in hand, at the step that has been reached."""

    def goes_on(self, assessment: Assessment) -> bool:
        """Take the letter that was written; whether the next one comes at once."""

    def tried(self, tried: WordTry, *, then: Callable[[], Scene]) -> Scene:
        """Something was done with a whole word: store it, and go on to `then`."""

    def after_writing(self) -> Scene:
        """The word in hand was written and read back: once more with less shown, at last on one line."""

    def write_line(self) -> Scene:
        """Write the word in hand on one line, with no boxes."""

    def finish_line(self, ink: Ink, began: datetime) -> Scene:
        """The word in hand was written on one line."""

    def next(self) -> Scene:
        """A round of rhymes where there are some, and then the next word of today."""

    def make_rhyme(self, rhymes: RhymeRound) -> Scene:
        """Make a word that rhymes, where one can be made; else on."""

    def after_rhymes(self) -> Scene:
        """The next word of today, or all of them again after the last."""


class Routes(Protocol):
    """Gives a screen the next one, and the session and storage behind all of them."""

    @property
    def session(self) -> Session:
        """Who practices what."""

    @property
    def storage(self) -> Storage:
        """What is written into the record, and what waits for it."""

    def cards(self, sentence: str = "") -> Scene:
        """Nobody practices: the cards to choose from; `sentence` stands in the place of their question."""

    def cards_are_shown(self) -> None:
        """The cards are on the screen, and what comes next can be worked out."""

    def choose(self, pupil: Pupil | None) -> Scene:
        """Somebody chose a card; None is the guest's."""

    def welcome(self, pupil: Pupil | None) -> Scene:
        """The pupil practices from now on."""

    def after_erasing(self) -> Scene | None:
        """The cards, once, when it came out that who practices was erased meanwhile."""

    def letters(self) -> Scene:
        """The letters of today, chosen anew."""

    def begin(self, letter: str) -> Scene:
        """Practice a letter: it is shown first."""

    def write(self) -> Scene:
        """Write the letter in hand, at the step that has been reached."""

    def finish(self, ink: Ink, began: datetime, step: Step, judged: Judged | None) -> Scene:
        """The letter in hand was written with the help of `step` and judged (None: it could not be)."""

    def leave(self) -> Scene:
        """Away from a letter that is not finished."""

    def store(self, *, then: Callable[[], Scene]) -> Scene:
        """Store all that waits, and go on to `then`."""

    def rested(self, then: Callable[[], Scene]) -> Scene:
        """Go on to `then`, with a rest before it when it is time for one."""

    @property
    def words(self) -> WordRoutes:
        """Where words lead."""

    def again(self) -> Scene:
        """The same step once more."""

    def easier(self) -> Scene:
        """A step down."""

    def on(self) -> Scene:
        """A step up, or the next letter."""
