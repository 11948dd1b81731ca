"""Paper that takes ink: what the pen does on it, point by point, for a letter or a whole word."""

from __future__ import annotations

from abc import abstractmethod
from datetime import datetime

from strokes.transform import Transform
from trainer.drawing import theme
from trainer.practice.routes import Routes
from trainer.practice.scenes.screen import Screen
from trainer.window.events import KeyEvent, PointerEvent
from trainer.window.pad import Pad
from trainer.window.scenes.letter_box import LetterBox
from trainer.window.scenes.scene import Mark, Scene

STILL_MM = 0.5
"""A pen that moves less rests: a finger or a pen trembles by about a pixel."""
BESIDE_MM = 5.0
"""How far outside the paper a touch still writes: a tall letter begins near its upper edge."""


class Inking(Screen):
    """A screen with paper; what a scene makes of a stroke stands in its hooks."""

    counts = True

    box: LetterBox
    """The paper; `arrange` sets it."""

    def __init__(self, routes: Routes) -> None:
        super().__init__(routes)
        self.pad = Pad(Transform())
        self.ink: list[Mark] = []
        self.rested = 0.0
        self.began: datetime | None = None

    def _begin(self) -> None:
        """The pen came down."""

    def _grow(self) -> None:
        """It went on."""

    def _dropped(self) -> None:
        """It was a resting hand."""

    @abstractmethod
    def _lifted(self) -> None:
        """A stroke is done."""

    def _fit_pad(self) -> None:
        """Set the pad to the box as it is now."""
        self.pad.transform = self.box.transform.inverse()
        self.pad.still = self.metrics.mm(STILL_MM)

    def wants(self, x: float, y: float) -> bool:
        """The paper and the buttons; a hand that rests elsewhere is no touch."""
        return self._on_paper(x, y) or super().wants(x, y)

    def _on_paper(self, x: float, y: float) -> bool:
        """Whether a touch here writes: on the paper or a little outside."""
        return self.box.rect.inset(-self.metrics.mm(BESIDE_MM)).contains(x, y)

    def touched(self, event: PointerEvent) -> Scene | None:
        """Write: a touch that begins on the paper may leave it."""
        if event.action == "down" and not self._on_paper(event.x, event.y):
            return None
        match self.pad.take(event):
            case "begun":
                self.began = self.began or self.session.now()
                self.ink.append(Mark(self.box.pen, theme.BLUE, [self.pad.live[-1]]))
                self._begin()
            case "grown":
                self.ink[-1].points.append(self.pad.live[-1])
                self._grow()
            case "dropped":
                self.ink.pop()
                self._dropped()
            case "lifted":
                if event.action == "up" and self.ink[-1].points[-1] != (event.x, event.y):
                    self.ink[-1].points.append((event.x, event.y))
                self._lifted()
            case None:
                return None
        self.rested = 0.0
        return None

    def on_key(self, event: KeyEvent) -> Scene | None:
        """Backspace takes back the last stroke."""
        if event.key == "backspace":
            return self.press("undo")
        return super().on_key(event)
