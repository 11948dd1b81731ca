"""What the pen writes in one box: pointer events (px) go in, Ink in letter space comes out."""

from __future__ import annotations

from math import hypot
from typing import Literal, TypeAlias

import numpy as np

from strokes.ink import Ink, Trace
from strokes.polyline import Floats
from strokes.transform import Transform
from trainer.window.events import PointerEvent

Taken: TypeAlias = Literal["begun", "grown", "lifted", "dropped"]

PALM_PRINT = 0.1
"""X-heights: a touch that was cancelled before it moved this far was a resting hand, not a dot."""


class Pad:
    """Collects pointer events into ink; `transform` leads from px to letter space.

    Times are seconds from the first touch on the empty pad. A point nearer than `still` px to the last one is
    the trembling of a pen that rests, and is not kept; the place of a lift is.
    """

    def __init__(self, transform: Transform, *, still: float = 0.0) -> None:
        self.transform = transform
        self.still = still
        self.ink = Ink()
        self.live: list[tuple[float, float]] = []
        self._times: list[float] = []
        self._felt: list[tuple[float | None, tuple[float, float] | None]] = []
        self._origin: float | None = None

    @property
    def writing(self) -> bool:
        """Whether the pen is down."""
        return bool(self.live)

    def take(self, event: PointerEvent) -> Taken | None:
        """Take one event and say what became of the trace: None when it changed nothing.

        A pointer that was cancelled counts as lifted, so its ink stays; only one that never moved is
        dropped, as the print of a resting hand. A `down` while the pen is down goes on with the trace.
        """
        if event.action == "down" and not self.live:
            if self._origin is None:
                self._origin = event.time
            self._add(event)
            return "begun"
        if not self.live:
            return None
        if event.action in ("down", "move"):
            return "grown" if self._add(event) else None
        if event.action == "up":
            self._add(event, lifted=True)
        elif self._extent() < PALM_PRINT:
            self._drop()
            return "dropped"
        return self.lift()

    def lift(self) -> Literal["lifted"] | None:
        """End the trace under the pen where it is, as when the screen changes; None when there is none."""
        if not self.live:
            return None
        points = self.transform.apply(np.array(self.live, np.float64))
        self.ink = self.ink.plus(Trace(points, np.array(self._times), *self._pressure_and_tilt()))
        self.live, self._times, self._felt = [], [], []
        return "lifted"

    def _pressure_and_tilt(self) -> tuple[Floats | None, Floats | None]:
        """What the device told of every point; a pressure that never changes was not measured."""
        pressures = [pressure for pressure, _ in self._felt if pressure is not None]
        tilts = [tilt for _, tilt in self._felt if tilt is not None]
        count = len(self._felt)
        return (
            np.array(pressures) if len(pressures) == count and len(set(pressures)) > 1 else None,
            np.array(tilts) if len(tilts) == count else None,
        )

    def undo(self) -> bool:
        """Take back the last trace; the one under the pen if there is one. False when there is no ink.

        When nothing is left, time starts anew at the next touch, as after a `clear`.
        """
        if not self.live:
            if not self.ink.traces:
                return False
            self.ink = Ink(self.ink.traces[:-1])
        self._drop()
        return True

    def clear(self) -> None:
        """Forget all ink; time starts anew at the next touch."""
        self.ink = Ink()
        self._drop()

    def _drop(self) -> None:
        """Forget what is under the pen, and the first touch when there is no ink of it."""
        self.live, self._times, self._felt = [], [], []
        if not self.ink.traces:
            self._origin = None

    def _add(self, event: PointerEvent, *, lifted: bool = False) -> bool:
        """Add the event's point; one where the pen already is adds nothing."""
        if self.live:
            moved = hypot(event.x - self.live[-1][0], event.y - self.live[-1][1])
            if moved == 0 or (moved < self.still and not lifted):
                return False
        time = event.time - (self._origin or 0.0)
        self.live.append((event.x, event.y))
        self._felt.append((event.pressure, event.tilt))
        self._times.append(max(time, self._times[-1]) if self._times else self._after_last(time))
        return True

    def _after_last(self, time: float) -> float:
        """`time`, or that of the last lift if the clock stood still in between."""
        last = self.ink.traces[-1].times if self.ink.traces else None
        return max(time, float(last[-1])) if last is not None else time

    def _extent(self) -> float:
        """How far the trace under the pen reaches, in x-heights."""
        points = self.transform.apply(np.array(self.live, np.float64))
        return float(np.ptp(points, axis=0).max())
