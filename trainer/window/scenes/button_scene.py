"""Scenes with buttons: laid out anew for each size, pressed by finger or by key."""

from __future__ import annotations

from abc import ABC, abstractmethod
from collections.abc import Sequence

from trainer.drawing import Drawing, Metrics, Rect, theme
from trainer.window.events import KeyEvent, PointerEvent
from trainer.window.scenes.buttons import Button, Buttons
from trainer.window.scenes.scene import Scene


class ButtonScene(Scene, ABC):
    """Buttons are laid out anew for each size; one that is pressed leads on by its name."""

    def __init__(self) -> None:
        super().__init__()
        self.metrics = Metrics.of((1280, 800))
        self.buttons = Buttons()

    @abstractmethod
    def arrange(self) -> Sequence[Button]:
        """The buttons for the window as `metrics` tells it; boxes for the rest are set on the way."""

    @abstractmethod
    def press(self, name: str) -> Scene | None:
        """A button was pressed."""

    def choose(self, name: str) -> Scene | None:
        """The same, for any button; those that every screen has are none of its own."""
        return self.press(name)

    def touched(self, event: PointerEvent) -> Scene | None:  # noqa: ARG002 - a scene with paper reads it
        """A pointer event that no button took."""
        return None

    def rearrange(self) -> None:
        """Lay the buttons out again and paint the page again."""
        pressed = self.buttons.pressed
        self.buttons = Buttons(self.arrange())
        self.buttons.pressed = pressed
        self.stale = True

    def on_resize(self, size: tuple[int, int], metrics: Metrics) -> None:  # noqa: ARG002 - metrics has it
        """Lay everything out for the new size."""
        self.metrics = metrics
        self.rearrange()

    def wants(self, x: float, y: float) -> bool:
        """A touch means something on a button."""
        return any(button.rect.contains(x, y) for button in self.buttons.all)

    def on_pointer(self, event: PointerEvent) -> Scene | None:
        """Buttons come first; what they do not take goes to `touched`."""
        before = self.buttons.pressed
        taken, name = self.buttons.take(event)
        if self.buttons.pressed != before:
            self.stale = True
        if name is not None:
            return self.choose(name)
        return None if taken else self.touched(event)

    def on_key(self, event: KeyEvent) -> Scene | None:
        """Return and space press the main button, for who cannot point."""
        main = next((button for button in self.buttons.all if button.main), None)
        return self.choose(main.name) if main and event.key in ("return", "space") else None


def headline(canvas: Drawing, head: Rect, sentence: str) -> None:
    """A sentence at the head of a screen."""
    canvas.text(sentence, head, min(canvas.mm(6.4), head.height * 0.5), theme.TEXT, "left", bold=True)
