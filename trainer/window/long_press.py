"""A long press in the corner of the window, and the ring that grows around it meanwhile."""

from __future__ import annotations

from math import cos, pi, sin

from trainer.drawing import Metrics, Rect, theme
from trainer.window.events import PointerEvent
from trainer.window.scenes.scene import Mark

SECONDS = 2.0
"""How long it takes: our choice, too long for a touch that only brushes the corner."""
FIRST = 0.25
"""Seconds before the ring begins, so that nothing flashes up at a short touch."""
RING_MM = 10.0
"""Radius of the ring: it shows around a fingertip."""
STILL_MM = 5.0
"""How far the finger may move meanwhile; a fingertip rolls 1 to 2 mm."""
_STEP = 4
"""Degrees between two points of the ring."""


class LongPress:
    """Takes pointer events that begin in the corner; `advance` tells when one has lasted long enough."""

    def __init__(self) -> None:
        self.ring: Mark | None = None
        self._began: tuple[float, float] | None = None
        self._middle = (0.0, 0.0)
        self._radius = 0.0
        self._still = 0.0
        self._held = 0.0

    @property
    def going(self) -> bool:
        """Whether a finger is down in the corner."""
        return self._began is not None

    def begin(self, event: PointerEvent, corner: Rect, metrics: Metrics) -> bool:
        """Whether the event begins a press in the corner; the ring stands where all of it can be seen."""
        if event.action != "down" or not corner.contains(event.x, event.y):
            return False
        width = metrics.mm(1.2)
        self._radius = min(metrics.mm(RING_MM), 0.2 * min(metrics.width, metrics.height))
        edge = self._radius + width
        self._middle = (
            min(max(event.x, edge), metrics.width - edge),
            min(max(event.y, edge), metrics.height - edge),
        )
        self.ring = Mark(width, theme.QUIET)
        self._began, self._still, self._held = (event.x, event.y), metrics.mm(STILL_MM), 0.0
        return True

    def go_on(self, event: PointerEvent) -> None:
        """The finger moved or was lifted: the press ends unless it only rolled."""
        assert self._began is not None
        x, y = self._began
        if event.action != "move" or max(abs(event.x - x), abs(event.y - y)) > self._still:
            self.end()

    def end(self) -> None:
        """No finger is there any more, or it means something else."""
        self.ring = self._began = None

    def advance(self, seconds: float) -> bool:
        """Let time pass; True when the press has lasted long enough, and then it is over."""
        if self.ring is None:
            return False
        self._held += seconds
        share = max(0.0, self._held - FIRST) / (SECONDS - FIRST)
        (x, y), points = self._middle, self.ring.points
        while share > 0 and len(points) * _STEP <= min(share, 1.0) * 360:
            angle = (len(points) * _STEP - 90) * pi / 180
            points.append((x + self._radius * cos(angle), y + self._radius * sin(angle)))
        if self._held < SECONDS:
            return False
        self.end()
        return True
