"""A rest after ten minutes: a quiet screen with a way on for the teacher."""

from __future__ import annotations

from collections.abc import Callable, Sequence

from trainer.drawing import Drawing, Rect, theme
from trainer.drawing.cards import harbor
from trainer.language import text
from trainer.practice.routes import Routes
from trainer.practice.scenes.screen import Screen
from trainer.speech import Utterance, words
from trainer.window.scenes.buttons import Button
from trainer.window.scenes.layout import layout
from trainer.window.scenes.scene import Scene

QUIET_CARD = 17
"""The card with the moon over the sea."""


class Rest(Screen):
    """The main button ends the session; the other one goes on with it."""

    def __init__(self, routes: Routes, then: Callable[[], Scene]) -> None:
        super().__init__(routes)
        self.then = then

    def arrange(self) -> Sequence[Button]:
        """Two buttons."""
        self.layout = layout(self.metrics, self.session.hand, 2)
        on, done = self.layout.rail
        return [
            Button("on", "on", text("practice.rest.on"), on),
            Button("done", "tick", text("practice.rest.done"), done, main=True),
        ]

    @property
    def aloud(self) -> Sequence[Utterance]:
        """That it is time for one, and what to do."""
        return (words(text("practice.rest.title")), words(text("practice.rest.body")))

    def press(self, name: str) -> Scene | None:
        """Away to the cards, or on where the rest came in."""
        return self.then() if name == "on" else self.routes.cards()

    def draw(self, canvas: Drawing) -> None:
        """A picture and two sentences."""
        body = self.layout.body
        self.headline(canvas, self.layout.head, text("practice.rest.title"))
        side = min(body.width * 0.5, body.height * 0.5)
        x, _ = body.center
        harbor.draw(canvas, QUIET_CARD, Rect(x - side / 2, body.top + body.height * 0.06, side, side))
        middle = body.top + body.height * 0.06 + side
        lines = Rect(body.left, middle, body.width, (body.bottom - middle) * 0.55)
        canvas.text(text("practice.rest.body"), lines, canvas.mm(5.5), theme.TEXT)
        below = Rect(body.left, lines.bottom, body.width, body.bottom - lines.bottom)
        canvas.text(text("practice.rest.teacher"), below, canvas.mm(3.4), theme.QUIET)
        self.buttons.draw(canvas)
