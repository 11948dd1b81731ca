"""The pens that show: the model's at a natural pace or as stills, and the child's own as she wrote."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TypeAlias

from strokes.ink import Ink
from strokes.letter import Formation
from strokes.polyline import Floats, Polyline, arc_lengths
from strokes.simulation import HOP, SPEED, Pace
from strokes.transform import Transform
from trainer.drawing import theme
from trainer.window.scenes.scene import Mark, Tip

Timed: TypeAlias = tuple[Polyline, Floats]
"""The points of a line, and the seconds at which the pen is at each."""

LONGEST = 4.0
"""Seconds: ink that took longer is shown faster, evenly, so that nobody waits for it."""


class Pen:
    """Writes timed lines of letter space into a box; `transform` leads from there to px.

    Without `motion` no pen moves: each line stands there as a whole when its time has come.
    """

    def __init__(
        self, lines: Sequence[Timed], transform: Transform, width: float, *, color: str, motion: bool = True
    ) -> None:
        self.timed = tuple(lines)
        self.motion = motion
        self.color = color
        self.time = 0.0
        self.move(transform, width)

    def move(self, transform: Transform, width: float) -> None:
        """Go on in another box, as after a change of the window's size; what was written is written anew."""
        self.transform, self.width = transform, width
        self._lines = [
            ([(float(x), float(y)) for x, y in transform.apply(line)], times) for line, times in self.timed
        ]
        self.marks: list[Mark] = []
        self._write()

    @property
    def done(self) -> bool:
        """Whether all is written."""
        return self.time >= self._duration

    @property
    def _duration(self) -> float:
        return float(self.timed[-1][1][-1])

    def advance(self, seconds: float) -> None:
        """Let time pass."""
        self.time = min(self.time + seconds, self._duration)
        self._write()

    def _write(self) -> None:
        for place, (points, times) in enumerate(self._lines):
            if self.time < (times[0] if self.motion else times[-1]):
                return
            if place == len(self.marks):
                self.marks.append(Mark(self.width, self.color))
            written = self.marks[place].points
            due = int(times.searchsorted(self.time, side="right"))
            written.extend(points[len(written) : due])


class InkPen(Pen):
    """Writes ink once more as it was written; between two traces it waits no longer than the model's pen."""

    def __init__(self, ink: Ink, transform: Transform, width: float) -> None:
        super().__init__(as_written(ink), transform, width, color=theme.BLUE)

    @property
    def tip(self) -> Tip | None:
        """Where the pen is; None when it is done."""
        if self.done or not self.marks:
            return None
        return Tip(self.marks[-1].points[-1], self.width * 0.85, self.color)


def as_written(ink: Ink) -> list[Timed]:
    """Ink with its own times, each trace soon after the one before; at an even pace where it has none."""
    lines: list[Timed] = []
    clock = 0.0
    for trace in ink.traces:
        times = arc_lengths(trace.points) / SPEED if trace.times is None else trace.times - trace.times[0]
        lines.append((trace.points, times + clock))
        clock += float(times[-1]) + HOP
    faster = min(1.0, LONGEST / max(clock - HOP, LONGEST))
    return [(points, times * faster) for points, times in lines]


class ModelPen(Pen):
    """Writes `strokes` of a formation (None: all) at a natural pace."""

    def __init__(
        self,
        formation: Formation,
        transform: Transform,
        width: float,
        *,
        strokes: Sequence[int] | None = None,
        color: str = theme.BLACK,
        motion: bool = True,
    ) -> None:
        self.strokes = tuple(range(len(formation.strokes)) if strokes is None else strokes)
        self._pace = Pace(Formation("shown", tuple(formation.strokes[index] for index in self.strokes)))
        super().__init__(self._pace.traces(), transform, width, color=color, motion=motion)

    @property
    def stroke(self) -> int:
        """The stroke that is being written, as an index into the formation."""
        return self.strokes[self._pace.at(self.time)[0]]

    def stroke_after(self, seconds: float) -> int:
        """The stroke that will be written when so much more time has passed."""
        return self.strokes[self._pace.at(min(self.time + seconds, self._duration))[0]]

    @property
    def under_way(self) -> bool:
        """Whether the pen is on the paper and has left the start of its stroke."""
        return self.time > 0 and self._pace.at(self.time)[2]

    @property
    def tip(self) -> Tip | None:
        """Where the pen is; None when it is done, or when nothing may move."""
        if self.done or not self.motion:
            return None
        _, place, down = self._pace.at(self.time)
        x, y = self.transform.apply(place.reshape(1, 2))[0]
        return Tip((float(x), float(y)), self.width * (0.85 if down else 0.5), theme.VERMILLION)
