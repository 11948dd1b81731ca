"""The first screen: it is up before the record is, so that nobody looks at an empty desktop."""

from __future__ import annotations

from collections.abc import Callable

from trainer.drawing import Drawing, Metrics
from trainer.language import text
from trainer.window.scenes.button_scene import headline
from trainer.window.scenes.layout import layout
from trainer.window.scenes.scene import Scene


class Opening(Scene):
    """The headline of the cards where it will stay; `then` opens the rest, once this is on the screen."""

    def __init__(self, then: Callable[[], Scene]) -> None:
        super().__init__()
        self.then = then
        self.drawn_once = False
        self.metrics = Metrics.of((1280, 800))

    def on_resize(self, size: tuple[int, int], metrics: Metrics) -> None:  # noqa: ARG002 - metrics has it
        """Keep the new size."""
        self.metrics = metrics
        self.stale = True

    def on_tick(self, seconds: float) -> Scene | None:  # noqa: ARG002
        """The first frame shows this; the second one moves on, however long that takes."""
        if self.drawn_once:
            return self.then()
        self.drawn_once = True
        return None

    def wants(self, x: float, y: float) -> bool:  # noqa: ARG002
        """Nothing can be touched yet."""
        return False

    def draw(self, canvas: Drawing) -> None:
        """The headline alone."""
        head = layout(self.metrics, None, 0).head
        headline(canvas, head, text("practice.cards.title"))
