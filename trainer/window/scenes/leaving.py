"""Leave? Asked of a grown-up over whatever screen there is; nothing of that is changed or lost meanwhile."""

from __future__ import annotations

from collections.abc import Callable, Sequence

from strokes.letter import Hand
from trainer.drawing import Drawing, theme
from trainer.language import text
from trainer.window.scenes.button_scene import ButtonScene, headline
from trainer.window.scenes.buttons import Button, icon
from trainer.window.scenes.layout import layout
from trainer.window.scenes.scene import Scene


class Leaving(ButtonScene):
    """The main button goes back to the scene `behind`, for it may be a child who came here."""

    def __init__(self, behind: Scene, leave: Callable[[], None]) -> None:
        super().__init__()
        self.behind = behind
        self.leave = leave

    @property
    def hand(self) -> Hand | None:
        """As behind it."""
        return self.behind.hand

    def arrange(self) -> Sequence[Button]:
        """Two buttons."""
        self.layout = layout(self.metrics, self.hand, 2)
        out, stay = self.layout.rail
        return [
            Button("out", "out", text("practice.leaving.out"), out),
            Button("stay", "back", text("practice.leaving.stay"), stay, main=True),
        ]

    def press(self, name: str) -> Scene | None:
        """Leave, or back to where it was asked."""
        if name == "stay":
            return self.behind
        self.leave()
        return None

    def draw(self, canvas: Drawing) -> None:
        """The question and its sign."""
        headline(canvas, self.layout.head, text("practice.leaving.title"))
        body = self.layout.body
        icon(canvas, "out", body.center, min(canvas.mm(16), body.width * 0.3, body.height * 0.3), theme.QUIET)
        self.buttons.draw(canvas)
