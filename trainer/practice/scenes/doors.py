"""The start screen: a door for each thing that can be opened, before anything is."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass

from trainer.drawing import Drawing, Rect, theme
from trainer.language import text
from trainer.window.events import KeyEvent
from trainer.window.scenes.button_scene import ButtonScene, headline
from trainer.window.scenes.buttons import WHITE, Button, Icon, icon, rounded
from trainer.window.scenes.layout import Layout, layout
from trainer.window.scenes.scene import Scene

PRACTICE = "practice"
"""The door to the cards, in the same window."""

WIDE_MM, TALL_MM = 92.0, 84.0
"""The largest door."""

FOOT_MM = 7.0
"""Height of the line under the doors."""

_STEPS = {"tab": 1, "right": 1, "down": 1, "left": -1, "up": -1}
"""Keys that lead to the next door or the one before."""


@dataclass(frozen=True)
class Door:
    """What can be opened: the name of its texts and of its command, and its picture."""

    name: str
    icon: Icon


class Doors(ButtonScene):
    """The doors side by side, or one above the other where the window is upright.

    `enter` gets the name of the door that was chosen and gives back the screen behind it, if it has one. The
    first door is chosen by Return; Tab and the arrow keys lead to the others.
    """

    asks_before_leaving = False
    layout: Layout

    def __init__(self, doors: Sequence[Door], enter: Callable[[str], Scene | None]) -> None:
        super().__init__()
        self.doors = doors
        self.enter = enter
        self.at = 0

    def arrange(self) -> Sequence[Button]:
        """A button a door."""
        self.layout = layout(self.metrics, None, 0)
        body = self.layout.body
        room = Rect(body.left, body.top, body.width, body.height - self.metrics.mm(FOOT_MM))
        return [
            Button(
                door.name, door.icon, text(f"practice.doors.{door.name}.name"), cell, main=place == self.at
            )
            for place, (door, cell) in enumerate(zip(self.doors, self._cells(room), strict=True))
        ]

    def _cells(self, room: Rect) -> list[Rect]:
        """Boxes of one size in the middle of the room, with the gap of two buttons between them."""
        gap, count = self.metrics.gap, len(self.doors)
        upright = room.width < room.height
        width = room.width if upright else (room.width - (count - 1) * gap) / count
        height = (room.height - (count - 1) * gap) / count if upright else room.height
        width, height = min(width, self.metrics.mm(WIDE_MM)), min(height, self.metrics.mm(TALL_MM))
        columns, rows = (1, count) if upright else (count, 1)
        left = room.left + (room.width - columns * width - (columns - 1) * gap) / 2
        top = room.top + (room.height - rows * height - (rows - 1) * gap) / 2
        places = [(place % columns, place // columns) for place in range(count)]
        return [Rect(left + x * (width + gap), top + y * (height + gap), width, height) for x, y in places]

    def press(self, name: str) -> Scene | None:
        """Through that door."""
        return self.enter(name)

    def on_key(self, event: KeyEvent) -> Scene | None:
        """To another door, or through the one that is marked."""
        if event.key in _STEPS:
            self.at = (self.at + _STEPS[event.key]) % len(self.doors)
            self.rearrange()
            return None
        return super().on_key(event)

    def draw(self, canvas: Drawing) -> None:
        """The question, the doors, and how to leave."""
        headline(canvas, self.layout.head, text("practice.doors.title"))
        for button in self.buttons.all:
            _door(canvas, button, pressed=button.name == self.buttons.pressed)
        body, high = self.layout.body, canvas.mm(FOOT_MM)
        foot = Rect(body.left, body.bottom - high, body.width, high)
        canvas.text(text("practice.doors.leave"), foot, canvas.mm(3.2), theme.QUIET)


def _door(canvas: Drawing, button: Button, *, pressed: bool) -> None:
    """The picture over the name, and under both what is behind the door."""
    rect = button.rect
    rounded(canvas, rect, WHITE, pressed=pressed, strong=button.main)
    inner = rect.inset(min(rect.width, rect.height) * 0.08)
    radius = min(canvas.mm(13), inner.height * 0.2, inner.width * 0.3)
    x = inner.center[0]
    icon(canvas, button.icon, (x, inner.top + radius), radius, theme.TEXT)
    name = Rect(inner.left, inner.top + 2.2 * radius, inner.width, inner.height * 0.24)
    canvas.text(button.label, name, min(canvas.mm(8), name.height * 0.7), theme.TEXT, bold=True, wrap=False)
    about = Rect(inner.left, name.bottom, inner.width, inner.bottom - name.bottom)
    said = text(f"practice.doors.{button.name}.about")
    canvas.text(said, about, min(canvas.mm(4.4), about.height * 0.3), theme.QUIET)
