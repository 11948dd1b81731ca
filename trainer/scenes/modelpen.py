"""The model's pen: it writes strokes of a formation at a natural pace, or stroke by stroke as stills."""

from __future__ import annotations

from collections.abc import Sequence

from strokes.letter import Formation
from strokes.pace import Pace
from strokes.transform import Transform
from trainer import theme
from trainer.scenes.scene import Mark, Tip


class ModelPen:
    """Writes `strokes` of a formation (None: all) into a box; `transform` leads from letter space to px.

    Without `motion` no pen moves: each stroke stands there as a whole when its time has come.
    """

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
        self.motion = motion
        self.width = width
        self.color = color
        self.time = 0.0
        self._pace = Pace(Formation("shown", tuple(formation.strokes[index] for index in self.strokes)))
        self.move(transform, width)

    def move(self, transform: Transform, width: float) -> None:
        """Go on in another box, as after a change of the window's size; what was written is written anew."""
        self.transform, self.width = transform, width
        self._lines = [
            ([(float(x), float(y)) for x, y in transform.apply(line)], times)
            for line, times in self._pace.traces()
        ]
        self.marks: list[Mark] = []
        self._write()

    @property
    def stroke(self) -> int:
        """The stroke that is being written, as an index into the formation."""
        return self.strokes[self._pace.at(self.time)[0]]

    @property
    def under_way(self) -> bool:
        """Whether the pen is on the paper and has left the start of its stroke."""
        return self.time > 0 and self._pace.at(self.time)[2]

    @property
    def done(self) -> bool:
        """Whether all is written."""
        return self.time >= self._pace.duration

    @property
    def tip(self) -> Tip | None:
        """Where the pen is; None when it is done, or when nothing may move."""
        if self.done or not self.motion:
            return None
        _, place, down = self._pace.at(self.time)
        x, y = self.transform.apply(place.reshape(1, 2))[0]
        return Tip((float(x), float(y)), self.width * (0.85 if down else 0.5), theme.VERMILLION)

    def advance(self, seconds: float) -> None:
        """Let time pass."""
        self.time = min(self.time + seconds, self._pace.duration)
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
