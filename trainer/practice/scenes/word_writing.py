"""Write a word: each letter in its box, by the same loop as a letter alone, the word above as a model."""

from __future__ import annotations

from collections.abc import Sequence

from trainer.attempt import Step
from trainer.drawing import Drawing, Rect, lettering, theme
from trainer.language import text
from trainer.practice.routes import Routes
from trainer.practice.scenes.writing import Writing
from trainer.speech import Utterance, lone_sound, words
from trainer.window.scenes.buttons import WHITE
from trainer.window.scenes.word_row import LEAST_MM, WordRow

MODEL_MM = 22.0
"""The most height for the word that is the model."""
SHARE = 0.26
"""The height of the model as a share of what there is."""


class WordWriting(Writing):
    """The letter of the word in hand that is due. From memory the model is covered, and can be looked at."""

    leave_text = "practice.words.leave"

    def __init__(self, routes: Routes, step: Step) -> None:
        super().__init__(routes, step)
        assert self.session.word is not None
        self.word = self.session.word

    def _place(self, rect: Rect) -> None:
        """The model over the row of boxes; the ink of the letters before stands in theirs."""
        high = min(self.metrics.mm(MODEL_MM), rect.height * SHARE)
        self.over = Rect(rect.left, rect.top, rect.width, high)
        self.lid = self.over if self.step is Step.RECALL else None
        top = rect.top + high + self.metrics.gap * 0.5
        under = Rect(rect.left, top, rect.width, rect.bottom - top - self.metrics.mm(3))
        alphabet, word = self.session.alphabet, self.word
        self.row = WordRow.around(under, alphabet, word.word, self.metrics, word.place, least_mm=LEAST_MM)
        self.box = self.row.cells[word.place]
        self.before = [
            mark
            for place, ink in enumerate(word.written)
            if place in self.row.shown
            for mark in self.row.cells[place].ink(ink)
        ]

    @property
    def sentence(self) -> str:
        """What is to be done now."""
        if self.hint is not None or self.peeped:
            return super().sentence
        if self.word.place == 0 or self.step is Step.RECALL:
            return text(f"practice.words.{self.step}")
        return text("practice.words.known" if self.word.place in self.word.chunk else "practice.words.next")

    @property
    def aloud(self) -> Sequence[Utterance]:
        """The word before its first letter, and then the sound that is due; a letter of a name has none."""
        if self.hint is not None or self.peeped:
            return (words(self.sentence),)
        word, place = self.word.word, self.word.place
        begins = () if place else (words(self.sentence), words(word.text))
        box = word.places[place]
        if box is None or word.places.index(box) != place:
            return begins
        return (*begins, lone_sound(*word.boxes[box].sounds))

    def _paper(self, canvas: Drawing) -> None:
        """The model, and the boxes."""
        if self.lid is None:
            canvas.panel(self.over, self.over.height * 0.08, WHITE, theme.PALE, max(1.0, canvas.mm(0.3)))
            inside = self.over.inset(self.over.height * 0.06)
            lettering.word(canvas, self.session.alphabet, self.word.text, inside, theme.BLACK)
        self.row.paper(canvas, now=self.word.place, chunk=self.word.chunk)
