"""Leave? Asked of a grown-up over whatever screen there is; nothing of that is changed or lost meanwhile."""

from __future__ import annotations

from collections.abc import Callable, Sequence

from strokes.letter import Hand
from trainer.drawing import Drawing, theme
from trainer.language import text
from trainer.window.scenes.button_scene import ButtonScene, headline
from trainer.window.scenes.buttons import Button, Icon, icon
from trainer.window.scenes.layout import layout
from trainer.window.scenes.scene import Scene


class Leaving(ButtonScene):
    """The main button goes back to the scene `behind`, for it may be a child who came here.

    `measure` gives the screen on which the screen itself is measured, which leads back to the scene it gets;
    without it there is no way there.
    """

    def __init__(
        self, behind: Scene, leave: Callable[[], None], measure: Callable[[Scene], Scene] | None = None
    ) -> None:
        super().__init__()
        self.behind = behind
        self.leave = leave
        self.measure = measure

    @property
    def hand(self) -> Hand | None:
        """As behind it."""
        return self.behind.hand

    def arrange(self) -> Sequence[Button]:
        """Two buttons, and one between them to measure the screen."""
        names: list[tuple[str, Icon]] = [("out", "out"), ("stay", "back")]
        if self.measure is not None:
            names.insert(1, ("measure", "measure"))
        self.layout = layout(self.metrics, self.hand, len(names))
        return [
            Button(name, shape, text(f"practice.leaving.{name}"), rect, main=name == "stay")
            for (name, shape), rect in zip(names, self.layout.rail, strict=True)
        ]

    def press(self, name: str) -> Scene | None:
        """Leave, measure the screen, or back to where it was asked."""
        if name == "stay":
            return self.behind
        if name == "measure" and self.measure is not None:
            return self.measure(self.behind)
        self.leave()
        return None

    def draw(self, canvas: Drawing) -> None:
        """The question and its sign, in the light of what is behind it."""
        canvas = self.behind.in_its_light(canvas)
        canvas.fill(theme.PAPER)
        headline(canvas, self.layout.head, text("practice.leaving.title"))
        body = self.layout.body
        icon(canvas, "out", body.center, min(canvas.mm(16), body.width * 0.3, body.height * 0.3), theme.QUIET)
        self.buttons.draw(canvas)
