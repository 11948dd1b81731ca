"""The rhyme round: find the words that rhyme with the last one, then make one by changing its first sound."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING

from trainer.attempt import WordPart, WordTry
from trainer.drawing import Drawing, Rect, lettering, theme
from trainer.language import text
from trainer.practice.routes import Routes
from trainer.practice.scenes.screen import Screen
from trainer.speech import Utterance, words
from trainer.window.scenes.buttons import WHITE, Button, icon, rounded
from trainer.window.scenes.layout import grid, layout, row
from trainer.window.scenes.scene import Scene

if TYPE_CHECKING:
    from trainer.teaching.word_offers import RhymeRound

CELL_MM, FLAT = 30.0, 0.62
"""Width of a word's cell, and its height as a share of that."""
FIRST_MM = 26.0
"""Side of a button with the letters of a first sound, at most."""


class Rhyming(Screen):
    """Each word is said when it is touched; one that rhymes gets a tick, another one steps back."""

    counts = True

    def __init__(self, routes: Routes, rhymes: RhymeRound) -> None:
        super().__init__(routes)
        self.rhymes = rhymes
        self.rhyming: list[str] = []
        self.unlike: list[str] = []
        self.began = self.session.now()

    def arrange(self) -> Sequence[Button]:
        """The word over those to choose from, and the rail."""
        self.layout = layout(self.metrics, self.session.hand, 2)
        body, gap = self.layout.body, self.metrics.gap
        high = body.height * 0.26
        self.over = Rect(body.left, body.top, body.width, high)
        under = Rect(body.left, body.top + high + gap, body.width, body.height - high - gap)
        options = self.rhymes.options
        side = min(self.metrics.mm(CELL_MM), body.width / 2.2)
        cells, shown = grid(under, len(options), side, gap * 0.7, shape=FLAT)
        while shown < len(options):
            side *= 0.9
            cells, shown = grid(under, len(options), side, gap * 0.7, shape=FLAT)
        leave, on = self.layout.rail
        return [
            *(
                Button(f"word {word.text}", "words", "", cell)
                for word, cell in zip(options, cells, strict=True)
            ),
            Button("leave", "letters", text("practice.words.leave"), leave),
            Button("on", "on", text("practice.answer.on"), on, main=True),
        ]

    @property
    def sentence(self) -> str:
        """What is to be done, or that all are found."""
        return text(f"practice.rhymes.{'all' if self.done else 'find'}", word=self.rhymes.word.text)

    @property
    def done(self) -> bool:
        """Whether every word that rhymes is found."""
        return len(self.rhyming) == len(self.rhymes.rhyming)

    @property
    def aloud(self) -> Sequence[Utterance]:
        """The same."""
        return (words(self.sentence),)

    def press(self, name: str) -> Scene | None:
        """Take a word, go on, or back to the words."""
        if name == "leave":
            return self.routes.words.today()
        if name == "on":
            return self._kept()
        chosen = name.removeprefix("word ")
        chosen_before = chosen in (*self.rhyming, *self.unlike)
        if not chosen_before:
            (self.rhyming if chosen in self.rhymes.rhyming else self.unlike).append(chosen)
        self.stale = True
        praise = (words(self.sentence),) if self.done and not chosen_before else ()
        self.session.voice.say(words(chosen), *praise)
        return None

    def _kept(self) -> Scene:
        """What was found is kept, unless nothing was touched."""
        pupil, rhymes = self.session.pupil, self.rhymes
        assert pupil is not None
        if not (self.rhyming or self.unlike):
            return self.routes.words.make_rhyme(rhymes)
        tried = WordTry(
            None,
            pupil.id,
            rhymes.word.text,
            WordPart.RHYME,
            self.began,
            asked=len(rhymes.rhyming),
            given=len(self.rhyming),
            wrong=len(self.unlike),
        )
        return self.routes.words.tried(tried, then=lambda: self.routes.words.make_rhyme(rhymes))

    def draw(self, canvas: Drawing) -> None:
        """The words; a tick on those that rhyme, the others that were touched pale."""
        alphabet = self.session.alphabet
        self.headline(canvas, self.layout.head, self.sentence)
        lettering.word(canvas, alphabet, self.rhymes.word.text, self.over.inset(self.over.height * 0.1))
        for button in (b for b in self.buttons.all if b.name.startswith("word ")):
            spelled = button.name.removeprefix("word ")
            rhymes, unlike = spelled in self.rhyming, spelled in self.unlike
            face = theme.CARD if unlike else WHITE
            rounded(canvas, button.rect, face, pressed=button.name == self.buttons.pressed, strong=rhymes)
            color = theme.EDGE if unlike else theme.BLACK
            lettering.word(canvas, alphabet, spelled, button.rect.inset(button.rect.height * 0.1), color)
            if rhymes:
                radius = button.rect.height * 0.15
                center = (button.rect.right - radius * 1.4, button.rect.top + radius * 1.4)
                canvas.disc(center, radius, theme.GREEN)
                icon(canvas, "tick", center, radius * 0.6, theme.PAPER)
        self.buttons.draw(canvas, but="word ")


class MakingRhyme(Screen):
    """The end of the word stands there; each first sound makes a word, which is written next."""

    counts = True

    def __init__(self, routes: Routes, rhymes: RhymeRound) -> None:
        super().__init__(routes)
        self.rhymes = rhymes

    def arrange(self) -> Sequence[Button]:
        """The end of the word over the first sounds, and the rail."""
        self.layout = layout(self.metrics, self.session.hand, 2)
        body, gap = self.layout.body, self.metrics.gap
        high = body.height * 0.45
        self.over = Rect(body.left, body.top, body.width, high)
        under = Rect(body.left, body.top + high + gap, body.width, body.height - high - gap)
        firsts = row(under, len(self.rhymes.made), self.metrics.mm(FIRST_MM))
        leave, on = self.layout.rail
        return [
            *(
                Button(f"word {word.text}", "words", "", cell)
                for word, cell in zip(self.rhymes.made, firsts, strict=True)
            ),
            Button("leave", "letters", text("practice.words.leave"), leave),
            Button("on", "on", text("practice.answer.on"), on, main=True),
        ]

    @property
    def sentence(self) -> str:
        """What is to be done."""
        return text("practice.rhymes.make")

    @property
    def aloud(self) -> Sequence[Utterance]:
        """The same."""
        return (words(self.sentence),)

    def press(self, name: str) -> Scene | None:
        """The word that was made, the next one, or back to the words."""
        if name == "leave":
            return self.routes.words.today()
        if name == "on":
            return self.routes.words.after_rhymes()
        made = name.removeprefix("word ")
        return self.routes.words.begin(next(word for word in self.rhymes.made if word.text == made))

    def draw(self, canvas: Drawing) -> None:
        """An open box before the end of the word, and the first sounds."""
        alphabet = self.session.alphabet
        self.headline(canvas, self.layout.head, self.sentence)
        end = self.rhymes.word.rime_letters
        box, rest = row(self.over, 2, self.over.height * 0.7)
        rounded(canvas, box, WHITE, strong=True)
        lettering.word(canvas, alphabet, end, rest)
        for button in (b for b in self.buttons.all if b.name.startswith("word ")):
            rounded(canvas, button.rect, WHITE, pressed=button.name == self.buttons.pressed)
            first = button.name.removeprefix("word ").removesuffix(end)
            lettering.word(canvas, alphabet, first, button.rect.inset(button.rect.height * 0.12))
        self.buttons.draw(canvas, but="word ")
