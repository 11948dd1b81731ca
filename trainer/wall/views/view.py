"""What every view of the wall has, and what all of them share: voice, motion, light and pace."""

from __future__ import annotations

from abc import ABC, abstractmethod
from dataclasses import dataclass, field

from trainer.drawing import Drawing, Metrics, Rect
from trainer.speech import Voice
from trainer.wall.from_afar import BRIGHT, DARK, Light
from trainer.wall.turns import Turn
from trainer.window.events import PointerEvent
from trainer.window.scenes.scene import Mark, Tip

PACES = (1.0, 0.6, 0.35)
"""How fast the pen goes, as a share of its natural pace; the slower ones are to be tuned with teachers."""


@dataclass
class Manner:
    """How the wall shows things, as its teacher set it; views look at it anew each time."""

    voice: Voice
    motion: bool = True
    light: Light = BRIGHT
    pace: float = PACES[0]
    metrics: Metrics = field(default_factory=lambda: Metrics.of((1280, 800)))

    def slower(self) -> None:
        """The next slower pace, and after the slowest the natural one."""
        self.pace = PACES[(PACES.index(self.pace) + 1) % len(PACES)]

    def other_light(self) -> None:
        """As for the other kind of room."""
        self.light = BRIGHT if self.light is DARK else DARK


class View(ABC):
    """What is seen in some turns; `marks` and `tip` are those of a scene."""

    def __init__(self, manner: Manner) -> None:
        self.manner = manner
        self.marks: list[Mark] = []
        self.tip: Tip | None = None

    @property
    @abstractmethod
    def caption(self) -> str:
        """What stands below, in words."""

    @abstractmethod
    def arrange(self, body: Rect) -> None:
        """Find room in this box; `manner` has the metrics and the light, which may be others than before."""

    @abstractmethod
    def enter(self, turn: Turn, *, forward: bool) -> None:
        """This turn is shown from now on; one to which she stepped back stands there as it was at its end."""

    def leave(self) -> None:
        """Another view comes, or another turn."""
        self.manner.voice.stop()

    @abstractmethod
    def repeat(self) -> None:
        """Once more what this turn shows or says."""

    def advance(self, seconds: float) -> bool:  # noqa: ARG002 - what is still needs no time
        """Let time pass; tells whether the still page is another now."""
        return False

    @abstractmethod
    def draw(self, canvas: Drawing) -> None:
        """Paint the still page."""

    def wants(self, x: float, y: float) -> bool:  # noqa: ARG002 - most views have nothing to touch
        """Whether a touch that begins here is for the view; any other steps on."""
        return False

    def touched(self, event: PointerEvent) -> int:  # noqa: ARG002
        """A touch for the view; gives the number of turns that it led on."""
        return 0
