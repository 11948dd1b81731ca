"""The record could not be used: one calm page for the teacher; what was written waits in memory."""

from __future__ import annotations

from collections.abc import Callable, Sequence

from trainer.drawing import Drawing, Rect, theme
from trainer.language import text
from trainer.practice.routes import Routes
from trainer.practice.scenes.screen import Screen
from trainer.window.scenes.buttons import Button
from trainer.window.scenes.layout import layout
from trainer.window.scenes.scene import Scene


class Trouble(Screen):
    """Try again, or go on: what waits is offered to the record with every letter that follows."""

    def __init__(self, routes: Routes, reason: str, then: Callable[[], Scene]) -> None:
        super().__init__(routes)
        self.reason = reason
        self.then = then

    def arrange(self) -> Sequence[Button]:
        """Two buttons."""
        self.layout = layout(self.metrics, self.session.hand, 2)
        on, retry = self.layout.rail
        return [
            Button("on", "on", text("practice.trouble.on"), on),
            Button("retry", "keep", text("practice.trouble.retry"), retry, main=True),
        ]

    @property
    def title(self) -> str:
        """What happened: a letter waits to be kept, or the record could not be read."""
        return text(f"practice.trouble.{'title' if self.routes.storage.waiting else 'unread'}")

    def press(self, name: str) -> Scene | None:
        """On to what was to come, with the letter kept or waiting."""
        return self.then() if name == "on" else self.routes.store(then=self.then)

    def draw(self, canvas: Drawing) -> None:
        """What happened, why, and where something waits, that it is not lost."""
        body = self.layout.body
        self.headline(canvas, self.layout.head, self.title)
        why = Rect(body.left, body.top, body.width, min(canvas.mm(26), body.height * 0.4))
        canvas.text(self.reason, why, canvas.mm(4.4), theme.TEXT, "left")
        if self.routes.storage.waiting:
            below = Rect(body.left, why.bottom, body.width, why.height)
            canvas.text(text("practice.trouble.waiting"), below, canvas.mm(4.4), theme.QUIET, "left")
        self.buttons.draw(canvas)
