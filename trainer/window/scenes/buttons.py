"""Buttons for small hands: a shape, a word under it, and a press that counts when the finger lifts."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Literal, TypeAlias

from trainer.drawing import Drawing, Point, Rect, arc, theme
from trainer.window.events import PointerEvent

Icon: TypeAlias = Literal[
    "tick",
    "on",
    "back",
    "again",
    "easier",
    "undo",
    "clear",
    "watch",
    "look",
    "letters",
    "every",
    "words",
    "tap",
    "cards",
    "page on",
    "page back",
    "keep",
    "out",
    "say",
    "practice",
    "desk",
    "measure",
    "measure upright",
    "less",
    "more",
    "wall",
    "slower",
]
"""What a button does, by its picture: one thing each, on whatever screen."""

WHITE = "#FFFFFF"
"""The face of a card that can be chosen."""

FORGIVEN = 0.35
"""How far outside a button a finger may lift, as a share of its height: ends of drags are weak at four."""


@dataclass(frozen=True)
class Button:
    """A place to press; `main` is the one obvious next thing."""

    name: str
    icon: Icon
    label: str
    rect: Rect
    main: bool = False


class Buttons:
    """The buttons of one screen, and which of them a finger is on."""

    def __init__(self, buttons: Sequence[Button] = ()) -> None:
        self.all = tuple(buttons)
        self.pressed: str | None = None

    def take(self, event: PointerEvent) -> tuple[bool, str | None]:
        """Whether the event was for a button, and the name of the button that was pressed with it."""
        if event.action == "down":
            self.pressed = next((b.name for b in self.all if b.rect.contains(event.x, event.y)), None)
            return self.pressed is not None, None
        if self.pressed is None:
            return False, None
        if event.action == "move":
            return True, None
        name, self.pressed = self.pressed, None
        rect = next((b.rect for b in self.all if b.name == name), None)
        if event.action == "cancel" or rect is None:
            return True, None
        around = rect.inset(-FORGIVEN * rect.height)
        return True, name if around.contains(event.x, event.y) else None

    def draw(self, canvas: Drawing, *, but: str | tuple[str, ...] = ()) -> None:
        """Paint them all, `but` those whose names begin with that, which their scene paints."""
        for button in self.all:
            if button.name.startswith(but):
                continue
            paint(canvas, button, pressed=button.name == self.pressed)


def paint(canvas: Drawing, button: Button, *, pressed: bool = False) -> None:
    """One button: dark where it is the main one, else a card with an edge; a pressed one has a thick edge."""
    rect = button.rect
    thin = max(1.0, canvas.mm(0.4))
    face, ink = (theme.TEXT, theme.PAPER) if button.main else (theme.CARD, theme.TEXT)
    border = theme.VERMILLION if pressed else theme.TEXT if button.main else theme.EDGE
    canvas.panel(rect, rect.height * 0.16, face, border, thin * (3 if pressed else 1))
    words = min(canvas.mm(3.6), rect.height * 0.26)
    bare = not button.label or rect.height < canvas.mm(8)
    shape = rect.height * (0.34 if bare else 0.25)
    x, y = rect.center
    middle = y if bare else rect.top + rect.height * 0.40
    icon(canvas, button.icon, (x, middle), shape, ink)
    if not bare:
        under = Rect(rect.left + thin * 2, rect.bottom - words * 1.65, rect.width - thin * 4, words * 1.4)
        canvas.text(button.label, under, words, ink, wrap=False)


def rounded(canvas: Drawing, rect: Rect, color: str, *, pressed: bool = False, strong: bool = False) -> None:
    """The face of a card or cell that can be pressed; a `strong` one comes first."""
    thin = max(1.0, canvas.mm(0.4))
    border = theme.VERMILLION if pressed else theme.TEXT if strong else theme.EDGE
    canvas.panel(
        rect, min(rect.width, rect.height) * 0.12, color, border, thin * (3 if pressed or strong else 1)
    )


def cover(canvas: Drawing, rect: Rect, shape: Icon, label: str, *, pressed: bool = False) -> None:
    """A large lid that can be pressed as a whole, its shape and word in the middle."""
    rounded(canvas, rect, theme.CARD, pressed=pressed)
    x, y = rect.center
    radius = min(canvas.mm(7), rect.height * 0.2, rect.width * 0.2)
    icon(canvas, shape, (x, y - radius * 0.4), radius, theme.TEXT)
    words = min(canvas.mm(4), rect.height * 0.14)
    under = Rect(rect.left, y + radius * 0.7, rect.width, words * 1.5).inset(canvas.mm(0.5))
    canvas.text(label, under, words, theme.TEXT, wrap=False)


def icon(canvas: Drawing, name: Icon, center: tuple[float, float], radius: float, color: str) -> None:
    """A shape in a circle of `radius` around `center`."""
    width = radius * 0.24
    for line in SHAPES[name]:
        canvas.line([(center[0] + x * radius, center[1] + y * radius) for x, y in line], width, color)
    if name == "look":
        canvas.disc(center, radius * 0.3, color)
    if name == "watch":
        canvas.ring((center[0] - radius * 0.8, center[1] - radius * 0.5), radius * 0.22, width * 0.8, color)


def _square(x: float, y: float, half: float) -> list[Point]:
    return [
        (x - half, y - half),
        (x + half, y - half),
        (x + half, y + half),
        (x - half, y + half),
        (x - half, y - half),
    ]


SHAPES: dict[Icon, list[list[Point]]] = {
    "tick": [[(-0.8, 0.05), (-0.25, 0.6), (0.85, -0.65)]],
    "on": [[(-0.85, 0), (0.85, 0)], [(0.25, -0.6), (0.85, 0), (0.25, 0.6)]],
    "back": [[(0.85, 0), (-0.85, 0)], [(-0.25, -0.6), (-0.85, 0), (-0.25, 0.6)]],
    "again": [arc((0, 0), 0.75, 20, 300), [(0.0, -1.05), (0.42, -0.64), (-0.1, -0.35)]],
    "undo": [
        [(-0.85, -0.25), (0.3, -0.25), *arc((0.3, 0.2), 0.45, -90, 90), (-0.3, 0.65)],
        [(-0.4, -0.7), (-0.85, -0.25), (-0.4, 0.2)],
    ],
    "clear": [
        [(-0.85, -0.7), (-0.85, 0.7)],
        [(0.85, 0), (-0.45, 0)],
        [(0.05, -0.5), (-0.45, 0), (0.05, 0.5)],
    ],
    "watch": [
        [(-0.55, -0.5), (-0.1, -0.5), *arc((-0.1, 0.05), 0.55, -90, 60)],
        [(0.75, 0.25), (0.2, 0.55), (0.3, -0.1)],
    ],
    "look": [arc((0, 0.75), 1.15, 220, 320), arc((0, -0.75), 1.15, 40, 140)],
    "letters": [
        _square(-0.5, -0.5, 0.32),
        _square(0.5, -0.5, 0.32),
        _square(-0.5, 0.5, 0.32),
        _square(0.5, 0.5, 0.32),
    ],
    "every": [arc((x, y), 0.08, 0, 360) for y in (-0.7, 0.0, 0.7) for x in (-0.7, 0.0, 0.7)],
    "cards": [
        [(-0.6, -0.85), (0.6, -0.85), (0.6, 0.85), (-0.6, 0.85), (-0.6, -0.85)],
        arc((0, -0.2), 0.28, 0, 360),
        [(-0.3, 0.5), (0.3, 0.5)],
    ],
    "page on": [[(-0.35, -0.75), (0.4, 0), (-0.35, 0.75)]],
    "page back": [[(0.35, -0.75), (-0.4, 0), (0.35, 0.75)]],
    "tap": [arc((0.0, 0.0), 0.8, 0, 360), arc((0.0, 0.0), 0.25, 0, 360)],
    "words": [
        [(-0.95, -0.4), (-0.35, -0.4), (-0.35, 0.4), (-0.95, 0.4), (-0.95, -0.4)],
        [(-0.35, -0.4), (0.35, -0.4), (0.35, 0.4), (-0.35, 0.4)],
        [(0.35, -0.4), (0.95, -0.4), (0.95, 0.4), (0.35, 0.4)],
    ],
    "easier": [
        [(-0.9, -0.45), (-0.3, -0.45), (-0.3, 0.15), (0.3, 0.15), (0.3, 0.75), (0.9, 0.75)],
        [(0.5, -0.85), (0.5, -0.15)],
        [(0.2, -0.45), (0.5, -0.15), (0.8, -0.45)],
    ],
    "out": [
        [(0.1, -0.85), (-0.8, -0.85), (-0.8, 0.85), (0.1, 0.85)],
        [(-0.3, 0), (0.9, 0)],
        [(0.45, -0.42), (0.9, 0), (0.45, 0.42)],
    ],
    "say": [
        [
            *((-0.95, -0.3), (-0.55, -0.3), (-0.05, -0.75), (-0.05, 0.75)),
            *((-0.55, 0.3), (-0.95, 0.3), (-0.95, -0.3)),
        ],
        arc((0.0, 0), 0.45, -45, 45),
        arc((0.0, 0), 0.9, -45, 45),
    ],
    "practice": [
        [(-0.95, 0.85), (0.95, 0.85)],
        [(-0.55, 0.5), (-0.45, 0.05), (0.5, -0.9), (0.85, -0.55), (-0.1, 0.4), (-0.55, 0.5)],
    ],
    "desk": [
        [(-0.95, -0.75), (0.95, -0.75), (0.95, 0.75), (-0.95, 0.75), (-0.95, -0.75)],
        [(-0.6, -0.25), (-0.35, -0.25)],
        [(-0.05, -0.25), (0.6, -0.25)],
        [(-0.6, 0.25), (-0.35, 0.25)],
        [(-0.05, 0.25), (0.4, 0.25)],
    ],
    "measure": [
        [(-0.9, 0), (0.9, 0)],
        [(-0.45, -0.45), (-0.9, 0), (-0.45, 0.45)],
        [(0.45, -0.45), (0.9, 0), (0.45, 0.45)],
    ],
    "measure upright": [
        [(0, -0.9), (0, 0.9)],
        [(-0.45, -0.45), (0, -0.9), (0.45, -0.45)],
        [(-0.45, 0.45), (0, 0.9), (0.45, 0.45)],
    ],
    "less": [[(-0.8, 0), (0.8, 0)]],
    "more": [[(-0.8, 0), (0.8, 0)], [(0, -0.8), (0, 0.8)]],
    "wall": [
        [(-0.95, -0.85), (0.95, -0.85)],
        [(-0.8, -0.85), (-0.8, 0.35), (0.8, 0.35), (0.8, -0.85)],
        [(0.0, 0.35), (0.0, 0.6)],
        [(-0.5, 0.9), (0.0, 0.6), (0.5, 0.9)],
    ],
    "slower": [
        arc((0.0, 0.35), 0.9, 180, 360),
        [(0.0, 0.35), (-0.5, -0.05)],
        [(-0.9, 0.7), (0.9, 0.7)],
    ],
    "keep": [
        [(0, -0.85), (0, 0.3)],
        [(-0.5, -0.2), (0, 0.3), (0.5, -0.2)],
        [(-0.85, 0.2), (-0.85, 0.8), (0.85, 0.8), (0.85, 0.2)],
    ],
}
"""Icons as lines in a square from -1 to 1."""
