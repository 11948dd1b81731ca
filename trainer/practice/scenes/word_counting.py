"""Count the sounds of a word: one tap a sound; then its boxes, and the sounds once more."""

from __future__ import annotations

from collections.abc import Sequence

from trainer.attempt import WordPart, WordTry
from trainer.drawing import Drawing, Rect, theme
from trainer.drawing.cards import harbor
from trainer.language import phrases, text
from trainer.practice.routes import Routes
from trainer.practice.scenes.screen import Screen
from trainer.practice.scenes.word_hearing import show_word
from trainer.speech import Utterance, words
from trainer.window.scenes.buttons import Button, cover
from trainer.window.scenes.layout import layout
from trainer.window.scenes.scene import Scene
from trainer.window.scenes.sounding import Sounding, sounds_of
from trainer.window.scenes.word_row import WordRow, counters

MOST = 10
"""Taps that count; more are a game."""
COUNTER_MM = 15.0
"""Room for a counter, at most."""


class Counting(Screen):
    """A counter for each tap on the large button; what is counted is not judged until the child is done."""

    counts = True

    def __init__(self, routes: Routes) -> None:
        super().__init__(routes)
        assert self.session.word is not None
        self.word = self.session.word.word
        self.taps = 0
        self.began = self.session.now()

    def arrange(self) -> Sequence[Button]:
        """The counters, the picture of the word and the button to tap, and the rail.

        Without a picture the word is told by the voice alone, as its letters would be counted.
        """
        self.layout = layout(self.metrics, self.session.hand, 3)
        body, gap = self.layout.body, self.metrics.gap
        self.over = Rect(body.left, body.top, body.width, body.height * 0.26)
        self.picture: Rect | None
        under = Rect(
            body.left, self.over.bottom + gap / 2, body.width, body.bottom - self.over.bottom - gap / 2
        )
        telling = harbor.picture_of(self.word.text) is not None or not self.session.voice.audible
        if not telling:
            self.picture = None
            return self._buttons(under)
        wide = (under.width - gap) / 2
        side = min(wide, under.height)
        self.picture = Rect(under.left + (wide - side) / 2, under.center[1] - side / 2, side, side)
        tap = Rect(under.left + wide + gap, under.top, wide, under.height)
        if self.session.hand == "left":
            self.picture = self.picture._replace(left=self.picture.left + wide + gap)
            tap = tap._replace(left=under.left)
        return self._buttons(tap)

    def _buttons(self, tap: Rect) -> Sequence[Button]:
        leave, undo, done = self.layout.rail
        return [
            Button("tap", "tap", text("practice.words.tap"), tap),
            Button("leave", "letters", text("practice.words.leave"), leave),
            Button("undo", "undo", text("practice.write.undo"), undo),
            Button("done", "tick", text("practice.write.done"), done, main=True),
        ]

    @property
    def aloud(self) -> Sequence[Utterance]:
        """What is to be done, and the word."""
        return (words(text("practice.words.count")), words(self.word.text))

    def press(self, name: str) -> Scene | None:
        """A tap, one taken back, or all of them counted; without any the word is written at once."""
        if name == "leave":
            return self.routes.words.today()
        if name == "done":
            return self._counted() if self.taps else self.routes.words.write()
        self.taps = min(self.taps + 1, MOST) if name == "tap" else max(self.taps - 1, 0)
        self.stale = True
        return None

    def _counted(self) -> Scene:
        pupil, taps = self.session.pupil, self.taps
        assert pupil is not None
        sounds = len(self.word.sounds)
        tried = WordTry(None, pupil.id, self.word.text, WordPart.COUNT, self.began, asked=sounds, given=taps)
        return self.routes.words.tried(tried, then=lambda: Counted(self.routes, taps))

    def draw(self, canvas: Drawing) -> None:
        """The counters over the picture and the button."""
        self.headline(canvas, self.layout.head, text("practice.words.count"))
        counters(canvas, self.over, self.taps, canvas.mm(COUNTER_MM))
        if self.picture is not None:
            inside = self.picture.inset(self.picture.height * 0.04)
            show_word(canvas, self.session, self.word.text, inside)
        tap = self.buttons.all[0]
        cover(canvas, tap.rect, tap.icon, tap.label, pressed=self.buttons.pressed == tap.name)
        self.buttons.draw(canvas, but="tap")


class Counted(Screen):
    """The counters over the boxes, whose sounds are said once more; a word is never counted wrong here."""

    counts = True

    def __init__(self, routes: Routes, taps: int) -> None:
        super().__init__(routes)
        assert self.session.word is not None
        self.word = self.session.word.word
        self.taps = taps
        self.sounding = Sounding(self.word, self.session.voice)

    def arrange(self) -> Sequence[Button]:
        """Her counters over the boxes with their letters, and the rail."""
        self.layout = layout(self.metrics, self.session.hand, 3)
        body = self.layout.body
        self.over = Rect(body.left, body.top, body.width, body.height * 0.22)
        under = Rect(body.left, self.over.bottom, body.width, body.height - self.over.height)
        self.row = WordRow.around(under, self.session.alphabet, self.word, self.metrics)
        leave, again, on = self.layout.rail
        return [
            Button("leave", "letters", text("practice.words.leave"), leave),
            Button("again", "again", text("practice.answer.again"), again),
            Button("on", "on", text("practice.answer.on"), on, main=True),
        ]

    @property
    def sentence(self) -> str:
        """How many sounds there are, and whether she tapped as many."""
        sounds = len(self.word.sounds)
        key = "as_many" if self.taps == sounds else "so_many"
        return text(f"practice.words.{key}", count=phrases.sounds(sounds))

    @property
    def aloud(self) -> Sequence[Utterance]:
        """The same."""
        return (words(self.sentence),)

    def on_show(self) -> None:
        """Say it; the sounds follow."""
        super().on_show()
        self.session.voice.prepare(*sounds_of(self.word))

    def on_tick(self, seconds: float) -> Scene | None:
        """The sounds come one after the other, once the sentence is said."""
        super().on_tick(seconds)
        if self.sounding.advance(seconds):
            self.stale = True
        return None

    def press(self, name: str) -> Scene | None:
        """On to the writing, count once more, or back to the words."""
        if name == "on":
            return self.routes.words.write()
        return self.routes.words.today() if name == "leave" else Counting(self.routes)

    def draw(self, canvas: Drawing) -> None:
        """The counters and the boxes; the one that is said has a strong frame."""
        self.headline(canvas, self.layout.head, self.sentence)
        counters(canvas, self.over, self.taps, canvas.mm(COUNTER_MM))
        lit = self.sounding.box
        now = None if lit is None else self.word.places.index(lit)
        self.row.paper(canvas, now=now)
        for place, cell in enumerate(self.row.cells):
            letter = self.session.alphabet[self.word.text[place]].taught
            outside = self.word.places[place] is None
            cell.letter(canvas, letter, theme.PALE if outside else theme.BLACK)
        self.buttons.draw(canvas)
