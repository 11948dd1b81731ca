"""The scene on the wall: turns, led by keys, a clicker or taps; the teacher's controls are in a corner.

The controls stand on the wall and not on another screen: pygame has one window, and who writes on the wall
stands at it. A key or a clicker puts them away, a touch in their corner brings them back.
"""

from __future__ import annotations

from collections.abc import Sequence
from math import ceil

from strokes.letter import Hand
from trainer.drawing import Drawing, Metrics, Rect, theme
from trainer.language import text
from trainer.wall.aloud import aloud
from trainer.wall.from_afar import THINNEST, FromAfar, caption_size, px
from trainer.wall.items import Item, WallLetter, WallRhymes, WallWord
from trainer.wall.turns import Act, Turn, turns_of
from trainer.wall.views.ending import EndView
from trainer.wall.views.hearing import ReadingView, SoundsView
from trainer.wall.views.rhyming import RhymesView
from trainer.wall.views.view import PACES, Manner, View
from trainer.wall.views.writing import WallStroke, WritingView
from trainer.window.events import KeyEvent, PointerEvent
from trainer.window.scenes.button_scene import ButtonScene
from trainer.window.scenes.buttons import Button, Icon, paint
from trainer.window.scenes.layout import corner
from trainer.window.scenes.scene import Mark, Scene

ON = frozenset({"right", "down", "page down", "space", "return", "enter", "n"})
BACK = frozenset({"left", "up", "page up", "backspace", "p"})
BLANK = frozenset({"b", "."})
"""Keys; a clicker sends Page Down and Page Up, and B or a period to blank the screen (common practice)."""

CONTROLS: tuple[tuple[str, Icon], ...] = (
    ("back", "back"),
    ("again", "again"),
    ("slower", "slower"),
    ("on", "on"),
)
CONTROL_MM = 12.0
"""Side of a control, for a grown-up: at least the 44 CSS px of WCAG 2.5.5, 11.6 mm."""
MARGIN = 0.03
"""The free edge of the wall, as a share of its shorter side."""
LONGEST = 27.0
"""The width of the longest cue in sizes of type, less what is left over where it is broken into lines."""
LINE_HEIGHT = 1.3
"""Room for a line of a caption, in sizes of type."""
BACK_SIDE = 0.12
"""The share of the width, at the left, in which a tap steps back."""
STILL = 0.03
"""How far a tap may move, as a share of the shorter side."""


class Leading(ButtonScene):
    """Shows `items` turn by turn; `reached` is how many items were begun.

    On beyond the last turn and back before the first one nothing happens.
    """

    hides_pointer = True

    def __init__(self, items: Sequence[Item], manner: Manner, *, hand: Hand | None = None) -> None:
        super().__init__()
        self.items = tuple(items)
        self.manner = manner
        self.turns = turns_of(self.items)
        self.at = 0
        self.reached = min(1, len(self.items))
        self.blank = False
        self.controls = True
        self._hand = hand
        self._written: dict[int, list[list[WallStroke]]] = {}
        self._tapped: PointerEvent | None = None
        self._begun = False
        self.view = self._view_of(self.turn)

    @property
    def hand(self) -> Hand | None:
        """Whose corner the controls are in: that of her writing hand."""
        return self._hand

    @property
    def turn(self) -> Turn:
        """What is shown."""
        return self.turns[self.at]

    # Where things stand

    def on_resize(self, size: tuple[int, int], metrics: Metrics) -> None:
        """Everything finds its room anew; what stands there stays."""
        self.manner.metrics = metrics
        super().on_resize(size, metrics)

    def arrange(self) -> Sequence[Button]:
        """The body over the caption, and the controls in the lower corner, beside it or below."""
        metrics = self.metrics
        short = min(metrics.width, metrics.height)
        margin = short * MARGIN
        upright = metrics.width < metrics.height
        side = min(metrics.mm(CONTROL_MM), short / 8)
        gap = side * 0.25
        wide = len(CONTROLS) * side + (len(CONTROLS) - 1) * gap
        bottom = metrics.height - margin
        inner = metrics.width - 2 * margin
        left = margin if self.hand == "left" else metrics.width - margin - wide
        start, room, foot = margin, inner, bottom - side - gap
        if not upright:
            start = margin + wide + 2 * gap if self.hand == "left" else margin
            room, foot = inner - wide - 2 * gap, bottom
        size = caption_size(metrics)
        high = ceil(LONGEST * size / room) * LINE_HEIGHT * size
        self.caption = Rect(start, foot - high, room, high)
        self.corner = Rect(left, bottom - side, wide, side)
        self.body = Rect(margin, margin, inner, self.caption.top - 1.5 * margin)
        self.view.arrange(self.body)
        self._show()
        if not self.controls:
            return []
        return [
            Button(
                name,
                icon,
                text(f"wall.controls.{name}"),
                Rect(left + place * (side + gap), bottom - side, side, side),
                main=name == "slower" and self.manner.pace != PACES[0],
            )
            for place, (name, icon) in enumerate(CONTROLS)
        ]

    # Turns

    def on_show(self) -> None:
        """The first turn begins with the first frame; one that was left to ask goes on as it was."""
        if not self._begun:
            self._begun = True
            self._prepare(*self.items[:1])
            self.view.enter(self.turn, forward=True)
        self._show()

    def on_hide(self) -> None:
        """Nothing is said into what comes next."""
        self.manner.voice.stop()

    def on(self) -> None:
        """The next turn."""
        self._go(self.at + 1, forward=True)

    def back(self) -> None:
        """The turn before, as it was at its end."""
        self._go(self.at - 1, forward=False)

    def _go(self, at: int, *, forward: bool) -> None:
        if self.blank:
            self.blank = False
        elif 0 <= at < len(self.turns):
            shared = self.turn.view == self.turns[at].view
            self._turn_to(at)
            if not shared:
                self.view.leave()
                self.view = self._view_of(self.turn)
                self.view.arrange(self.body)
            self.view.enter(self.turn, forward=forward)
        self.stale = True
        self._show()

    def _turn_to(self, at: int) -> None:
        self.at = min(at, len(self.turns) - 1)
        reached = min(self.turn.item + 1, len(self.items))
        self._prepare(*self.items[self.reached : reached])
        self.reached = max(self.reached, reached)
        self.stale = True

    def _prepare(self, *items: Item) -> None:
        """What is said of items that begin is made ready before it is wanted."""
        self.manner.voice.prepare(*(said for item in items for said in aloud(item)))

    def _view_of(self, turn: Turn) -> View:
        """A view for a turn and for those that share it; what was written before stands in it."""
        if turn.act is Act.END:
            return EndView(self.manner, self.items)
        item = self.items[turn.item]
        if isinstance(item, WallRhymes):
            return RhymesView(self.manner, item)
        if turn.act is Act.WRITE:
            return WritingView(self.manner, item, turn.place, self._strokes(turn.item, item))
        assert isinstance(item, WallWord)
        if turn.act is Act.READ:
            return ReadingView(self.manner, item, self._strokes(turn.item, item))
        return SoundsView(self.manner, item)

    def _strokes(self, number: int, item: WallLetter | WallWord) -> list[list[WallStroke]]:
        letters = item.letter if isinstance(item, WallLetter) else item.word.text
        return self._written.setdefault(number, [[] for _ in letters])

    # What she does

    def on_key(self, event: KeyEvent) -> Scene | None:
        """Keys and clickers."""
        key = event.key
        if key in ON:
            self._controls(shown=False)
            self.on()
        elif key in BACK:
            self._controls(shown=False)
            self.back()
        elif key in BLANK:
            self.blank = not self.blank
            self.manner.voice.stop()
            self.stale = True
            self._show()
        elif key == "c":
            self._controls(shown=not self.controls)
        elif key == "l":
            self.manner.other_light()
            self.rearrange()
        elif key in ("r", "s"):
            self.press("again" if key == "r" else "slower")
        return None

    def press(self, name: str) -> Scene | None:
        """A control."""
        if name == "on":
            self.on()
        elif name == "back":
            self.back()
        elif name == "slower":
            self.manner.slower()
            self.rearrange()
        else:
            self.blank = False
            self.view.repeat()
            self.stale = True
            self._show()
        return None

    def _controls(self, *, shown: bool) -> None:
        if shown != self.controls:
            self.controls = shown
            self.rearrange()

    def wants(self, x: float, y: float) -> bool:
        """A touch anywhere, but in the corner where a long press asks to leave."""
        return not corner(self.metrics, self.hand).contains(x, y)

    def touched(self, event: PointerEvent) -> Scene | None:
        """On paper the pen, in the corner of the controls they, and anywhere else a tap that steps."""
        if event.action == "down":
            self._tapped = None
            if not self.controls and self.corner.contains(event.x, event.y):
                self._controls(shown=True)
                return None
            if self.blank or not self.view.wants(event.x, event.y):
                self._tapped = event
                return None
        if self._tapped is not None:
            self._tap(self._tapped, event)
            return None
        if self.view.wants(event.x, event.y):
            self._write(event)
        return None

    def _tap(self, began: PointerEvent, event: PointerEvent) -> None:
        """A touch steps when it is lifted; one that has moved is none, but a hand that brushes the wall."""
        moved = max(abs(event.x - began.x), abs(event.y - began.y))
        if event.action == "cancel" or moved > STILL * min(self.metrics.width, self.metrics.height):
            self._tapped = None
        elif event.action == "up":
            self._tapped = None
            (self.back if began.x < BACK_SIDE * self.metrics.width else self.on)()

    def _write(self, event: PointerEvent) -> None:
        before = self.view.marks
        led = self.view.touched(event)
        if led == 1 and isinstance(self.view, WritingView) and self.view.part == self.turn.part:
            self.on()
        elif led:
            self._turn_to(self.at + led)
        self.stale = self.stale or event.action != "move" or self.view.marks != before
        self._show()

    # What is seen

    def on_tick(self, seconds: float) -> Scene | None:
        """The pen and the sounds go on, but on a screen that is blank."""
        if not self.blank and self.view.advance(seconds):
            self.stale = True
        self._show()
        return None

    def _show(self) -> None:
        self.marks: list[Mark] = [] if self.blank else self.view.marks
        self.tip = None if self.blank else self.view.tip

    def in_its_light(self, canvas: Drawing) -> Drawing:
        """In a dark room a white page would dazzle."""
        return FromAfar(canvas, self.manner.light, 0.0)

    def draw(self, canvas: Drawing) -> None:
        """The view, its caption, and the controls where a pointer is used."""
        wall = FromAfar(canvas, self.manner.light, px(self.metrics, THINNEST))
        wall.fill(theme.PAPER)
        if self.blank:
            return
        self.view.draw(wall)
        wall.text(self.view.caption, self.caption, caption_size(self.metrics), theme.TEXT, bold=True)
        near = self.in_its_light(canvas)
        for button in self.buttons.all:
            paint(near, button, pressed=self.buttons.pressed == button.name)
