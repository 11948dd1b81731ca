"""What every screen is: a still page, marks that grow on it, a pen's tip, and the next screen.

A scene never meets pygame: it gets PointerEvents and draws on a Drawing that is handed in.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field
from itertools import count
from typing import NamedTuple

from strokes.letter import Hand
from trainer.drawing import Drawing, Metrics, Ring
from trainer.window.events import KeyEvent, PointerEvent

_next_id = count(1)


@dataclass(eq=False)
class Mark:
    """A line that grows from frame to frame: the child's ink, or the model pen's.

    `points` are px and are only ever appended to, so that the window paints new points alone. To
    take a mark back, drop it from the scene's list. A mark with one point is a dot.
    """

    width: float
    color: str
    points: list[tuple[float, float]] = field(default_factory=list)
    id: int = field(default_factory=lambda: next(_next_id))


class Tip(NamedTuple):
    """The tip of the moving pen, drawn over everything else in each frame."""

    center: tuple[float, float]
    radius: float
    color: str


class Scene:
    """One screen. A handler that returns a scene hands the window over to it.

    `stale` says that the still page must be painted again; the window sets it back when it has. The
    `badges` stand above the marks; `draw` sets them, as they change with the page alone.
    """

    asks_before_leaving = True
    """Whether a child may be here, so that a grown-up is asked before the window closes."""

    hides_pointer = False
    """Whether the arrow of a mouse that rests goes away, so that it does not lie on what is looked at."""

    def __init__(self) -> None:
        self.stale: bool = True
        self.marks: list[Mark] = []
        self.badges: Sequence[Ring] = ()
        self.tip: Tip | None = None

    @property
    def hand(self) -> Hand | None:
        """The hand for which it is laid out; None: as for the right one."""
        return None

    def in_its_light(self, canvas: Drawing) -> Drawing:
        """The canvas in the colors of this scene, for what is asked over it; most have the usual ones."""
        return canvas

    def draw(self, canvas: Drawing) -> None:
        """Paint the still page: everything but the marks, the badges and the tip."""

    def on_show(self) -> None:
        """The window shows this scene from now on, for the first time or again."""

    def on_hide(self) -> None:
        """The window shows another scene, or none any more."""

    def wants(self, x: float, y: float) -> bool:  # noqa: ARG002 - a scene that narrows it reads them
        """Whether a touch that begins here means something; elsewhere it is a resting hand and is refused."""
        return True

    def on_pointer(self, event: PointerEvent) -> Scene | None:  # noqa: ARG002
        """The pointer came down, moved, went up or was cancelled."""
        return None

    def on_key(self, event: KeyEvent) -> Scene | None:  # noqa: ARG002
        """A key went down."""
        return None

    def on_tick(self, seconds: float) -> Scene | None:  # noqa: ARG002
        """`seconds` have passed since the last frame."""
        return None

    def on_resize(self, size: tuple[int, int], metrics: Metrics) -> None:
        """The window has this size from now on, also once before the first frame."""
