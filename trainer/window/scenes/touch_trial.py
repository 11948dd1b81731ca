"""A page on which a grown-up tries how a screen takes fingers, hands, pens and a mouse: nothing is judged."""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field
from itertools import pairwise
from typing import Literal, TypeAlias, get_args

from trainer.drawing import Drawing, Rect, theme
from trainer.language import text
from trainer.window.events import PointerEvent, PointerKind, Tallied
from trainer.window.scenes.button_scene import ButtonScene, headline
from trainer.window.scenes.buttons import WHITE, Button, Icon
from trainer.window.scenes.layout import layout
from trainer.window.scenes.scene import Mark, Scene

Trial: TypeAlias = Literal["line", "palm", "two", "pen", "hover", "mouse"]
"""What is tried, in this order; each is a text of `practice.touch`."""

TRIALS: tuple[Trial, ...] = get_args(Trial)

_KINDS = get_args(PointerKind)
"""What is told by the strokes that came; a press on a button is none."""

PEN_MM = 1.5
"""Width of the line that is drawn."""
SAYS_MM = 17.0
"""Height of the lines that say what to do."""


@dataclass
class Outcome:
    """What came in one trial; lengths in mm, times in seconds. A `skipped` one was not made.

    `off` is how far a drawn point lay from the line, `pressure` the least and the largest one that was told.
    `tally` counts moves above the sheet and what was refused.
    """

    trial: Trial
    skipped: bool = False
    strokes: int = 0
    kinds: Counter[PointerKind] = field(default_factory=Counter)
    times: list[list[float]] = field(default_factory=list)
    off: float = 0.0
    pressure: tuple[float, float] | None = None
    tilted: bool = False
    tally: Mapping[Tallied, int] = field(default_factory=dict)

    @property
    def rate(self) -> float | None:
        """Points a second while a pointer was down; None where no stroke has two of them."""
        points = sum(len(times) - 1 for times in self.times)
        seconds = sum(times[-1] - times[0] for times in self.times)
        return points / seconds if seconds > 0 else None

    @property
    def gap(self) -> float:
        """The longest time between two points of a stroke."""
        return max((b - a for times in self.times for a, b in pairwise(times)), default=0.0)

    def take(self, event: PointerEvent, off: float) -> None:
        """Note an event that lay `off` mm from the line."""
        if event.action == "down":
            self.strokes += 1
            self.kinds[event.kind] += 1
            self.times.append([])
        if not self.times:
            return
        self.times[-1].append(event.time)
        self.off = max(self.off, off)
        if event.pressure is not None:
            least, most = self.pressure or (event.pressure, event.pressure)
            self.pressure = min(least, event.pressure), max(most, event.pressure)
        self.tilted = self.tilted or event.tilt is not None


class TouchTrial(ButtonScene):
    """One trial after the other on one sheet; `outcomes` has those that are over.

    `tally` gives what pointers were counted since the window opened. `after` is done at the end.
    """

    asks_before_leaving = False

    def __init__(self, tally: Callable[[], Mapping[Tallied, int]], after: Callable[[], None]) -> None:
        super().__init__()
        self.tally = tally
        self.after = after
        self.outcomes: list[Outcome] = []
        self.outcome = Outcome(TRIALS[0])
        self._before: Mapping[Tallied, int] = {}

    def arrange(self) -> Sequence[Button]:
        """On to the next trial, once more, or past it."""
        names: list[tuple[str, Icon]] = [("again", "again"), ("skip", "page on"), ("next", "tick")]
        self.layout = layout(self.metrics, None, len(names))
        body = self.layout.body
        says = min(self.metrics.mm(SAYS_MM), body.height * 0.3)
        self.says = Rect(body.left, body.top, body.width, says)
        self.paper = Rect(body.left, body.top + says, body.width, body.height - says)
        return [
            Button(name, shape, text(f"practice.touch.{name}"), rect, main=name == "next")
            for (name, shape), rect in zip(names, self.layout.rail, strict=True)
        ]

    @property
    def line(self) -> tuple[tuple[float, float], tuple[float, float]]:
        """The line along which to draw, in px."""
        air, y = self.paper.width * 0.12, self.paper.center[1]
        return (self.paper.left + air, y), (self.paper.right - air, y)

    def wants(self, x: float, y: float) -> bool:
        """The paper and the buttons."""
        return self.paper.contains(x, y) or super().wants(x, y)

    def touched(self, event: PointerEvent) -> Scene | None:
        """Draw it as it comes, and note it."""
        if event.action == "down":
            self.marks.append(Mark(self.metrics.mm(PEN_MM), theme.BLUE))
        if self.marks:
            self.marks[-1].points.append((event.x, event.y))
            self.outcome.take(event, abs(event.y - self.line[0][1]) / self.metrics.px_per_mm)
        return None

    def press(self, name: str) -> Scene | None:
        """Begin it again, or go on; after the last one it is over."""
        if name != "again":
            self.outcome.skipped = name == "skip"
            since = Counter(self.tally()) - Counter(self._before)
            self.outcome.tally = {what: count for what, count in since.items() if what not in _KINDS}
            self.outcomes.append(self.outcome)
        self._before = dict(self.tally())
        self.marks = []
        self.stale = True
        at = len(self.outcomes)
        if at == len(TRIALS):
            self.after()
            return None
        self.outcome = Outcome(TRIALS[at])
        return None

    def draw(self, canvas: Drawing) -> None:
        """What to do, and a sheet with a line to draw along."""
        head = text("practice.touch.title", number=len(self.outcomes) + 1, count=len(TRIALS))
        headline(canvas, self.layout.head, head)
        says = self.says.inset(canvas.mm(0.5))
        words = text(f"practice.touch.{self.outcome.trial}")
        canvas.text(words, says, min(canvas.mm(5), says.height * 0.3), theme.TEXT, "left")
        canvas.panel(self.paper, canvas.mm(3), WHITE, theme.EDGE, max(1.0, canvas.mm(0.3)))
        canvas.line(self.line, canvas.mm(0.6), theme.GUIDE, dashed=True)
        self.buttons.draw(canvas)
