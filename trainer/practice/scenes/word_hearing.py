"""Hear a word: its sounds one by one, nearer together each time; she says it, and the picture tells it."""

from __future__ import annotations

from collections.abc import Sequence

from trainer.drawing import Drawing, Rect, lettering, theme
from trainer.drawing.cards import harbor
from trainer.language import text
from trainer.practice.routes import Routes
from trainer.practice.scenes.screen import Screen
from trainer.practice.session import Session
from trainer.speech import Utterance, words
from trainer.window.scenes.buttons import WHITE, Button, cover, rounded
from trainer.window.scenes.layout import layout, row
from trainer.window.scenes.scene import Scene
from trainer.window.scenes.sounding import SHRINKING, Sounding, sounds_of

PICTURE_MM = 42.0
"""Side of the picture that tells which word it was, at most."""
BOX_MM = 26.0
"""Side of a sound box, at most."""


class Hearing(Screen):
    """It plays by itself; a touch on the picture says the word, and going on is open all the time.

    Where nothing is heard, each box shows its letters as its sound comes.
    """

    counts = True

    def __init__(self, routes: Routes) -> None:
        super().__init__(routes)
        assert self.session.word is not None
        self.word = self.session.word.word
        self.sounding = Sounding(self.word, self.session.voice, SHRINKING)
        self.revealed = False

    def arrange(self) -> Sequence[Button]:
        """The boxes over the picture, and the rail."""
        self.layout = layout(self.metrics, self.session.hand, 3)
        body, gap = self.layout.body, self.metrics.gap
        high = body.height * 0.4
        self.boxes = row(
            Rect(body.left, body.top, body.width, high), len(self.word.boxes), self.metrics.mm(BOX_MM)
        )
        room = Rect(body.left, body.top + high + gap, body.width, body.height - high - gap)
        side = min(self.metrics.mm(PICTURE_MM), room.height, room.width)
        x, y = room.center
        leave, show, on = self.layout.rail
        return [
            Button(
                "picture",
                "look",
                text("practice.words.picture"),
                Rect(x - side / 2, y - side / 2, side, side),
            ),
            Button("leave", "letters", text("practice.words.leave"), leave),
            Button("show", "watch", text("practice.words.read_again"), show),
            Button("on", "on", text("practice.answer.on"), on, main=True),
        ]

    @property
    def sentence(self) -> str:
        """What is to be done now."""
        if self.revealed:
            return text("practice.words.it_was", word=self.word.text)
        return text("practice.words.say_it" if self.sounding.done else "practice.words.hear")

    def on_show(self) -> None:
        """What is to be done is said; the sounds follow by themselves, made ready meanwhile."""
        self.session.voice.say(words(self.sentence))
        self.session.voice.prepare(*sounds_of(self.word), words(self.word.text))

    @property
    def aloud(self) -> Sequence[Utterance]:
        """What is to be done, and the sounds once more."""
        return (words(self.sentence), *sounds_of(self.word))

    def on_tick(self, seconds: float) -> Scene | None:
        """The sounds go on."""
        super().on_tick(seconds)
        if not self.revealed and self.sounding.advance(seconds):
            self.stale = True
            if self.sounding.done:
                self.session.voice.say(words(self.sentence))
        return None

    def press(self, name: str) -> Scene | None:
        """Tell the word, hear it once more, or go on to count its sounds."""
        if name == "on":
            return self.routes.words.count()
        if name == "leave":
            return self.routes.words.today()
        self.revealed = name == "picture"
        self.stale = True
        if self.revealed:
            self.session.voice.say(words(self.word.text))
        else:
            self.sounding = Sounding(self.word, self.session.voice, SHRINKING)
        return None

    def draw(self, canvas: Drawing) -> None:
        """The boxes with what was heard, and the picture."""
        self.headline(canvas, self.layout.head, self.sentence)
        heard = len(self.boxes) if self.revealed or self.sounding.done else self.sounding.heard
        for number, box in enumerate(self.boxes):
            lit = number == self.sounding.box and not self.revealed
            rounded(canvas, box, WHITE, strong=lit)
            if number >= heard:
                continue
            if self.revealed or not self.session.voice.audible:
                letters = self.word.boxes[number].letters
                lettering.word(canvas, self.session.alphabet, letters, box.inset(box.height * 0.12))
            else:
                canvas.disc(box.center, box.height * (0.2 if lit else 0.14), theme.TEXT)
        self._picture(canvas)
        self.buttons.draw(canvas, but="picture")

    def _picture(self, canvas: Drawing) -> None:
        """Covered until it is touched; then the picture of the word where there is one, else the word."""
        button = next(button for button in self.buttons.all if button.name == "picture")
        pressed = self.buttons.pressed == "picture"
        if not self.revealed:
            cover(canvas, button.rect, "look", button.label, pressed=pressed)
            return
        rounded(canvas, button.rect, WHITE, pressed=pressed)
        show_word(canvas, self.session, self.word.text, button.rect.inset(button.rect.height * 0.06))


def show_word(canvas: Drawing, session: Session, word: str, rect: Rect) -> None:
    """The picture of a word where there is one, else the word as it is written."""
    card = harbor.picture_of(word)
    if card is None:
        lettering.word(canvas, session.alphabet, word, rect)
    else:
        harbor.draw(canvas, card, rect)
