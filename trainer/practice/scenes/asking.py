"""Is this you? Asked when a card is chosen that was in use at this window a moment ago."""

from __future__ import annotations

from collections.abc import Sequence

from strokes.letter import Hand
from trainer.attempt import Pupil
from trainer.drawing import Drawing, Rect
from trainer.language import text
from trainer.practice.routes import Routes
from trainer.practice.scenes.cards import TALL, show
from trainer.practice.scenes.screen import Screen
from trainer.speech import Utterance, words
from trainer.window.scenes.buttons import Button
from trainer.window.scenes.layout import layout
from trainer.window.scenes.scene import Scene

LARGEST_MM = 70.0
"""Width of the card at most."""


class Asking(Screen):
    """The card, large: a tick goes on to its letters, an arrow back to the cards."""

    def __init__(self, routes: Routes, pupil: Pupil) -> None:
        super().__init__(routes)
        self.pupil = pupil

    @property
    def hand(self) -> Hand | None:
        """The hand of the card's child: nobody practices yet."""
        return self.pupil.hand

    def arrange(self) -> Sequence[Button]:
        """Two buttons."""
        self.layout = layout(self.metrics, self.hand, 2)
        no, yes = self.layout.rail
        return [
            Button("no", "back", text("practice.asking.no"), no),
            Button("yes", "tick", text("practice.asking.yes"), yes, main=True),
        ]

    @property
    def aloud(self) -> Sequence[Utterance]:
        """The question."""
        return (words(text("practice.asking.title")),)

    def press(self, name: str) -> Scene | None:
        """To the letters of this card, or back to the cards."""
        return self.routes.welcome(self.pupil) if name == "yes" else self.routes.cards()

    def draw(self, canvas: Drawing) -> None:
        """The question over the card."""
        self.headline(canvas, self.layout.head, text("practice.asking.title"))
        body = self.layout.body
        width = min(canvas.mm(LARGEST_MM), body.width, body.height / TALL)
        x, y = body.center
        card = Rect(x - width / 2, y - width * TALL / 2, width, width * TALL)
        show(canvas, card, self.pupil.card, self.pupil.name)
        self.buttons.draw(canvas)
