"""A bank card is held against the screen, and the drawn one made as large: so a millimeter has its pixels."""

from __future__ import annotations

from collections.abc import Callable, Sequence

from strokes.letter import Hand
from trainer.drawing import Drawing, Metrics, Rect, theme
from trainer.errors import TrainerError
from trainer.language import sentence, text
from trainer.window.events import KeyEvent, PointerEvent
from trainer.window.scenes.button_scene import ButtonScene, headline
from trainer.window.scenes.buttons import WHITE, Button, Icon, icon
from trainer.window.scenes.layout import layout
from trainer.window.scenes.scene import Scene

CARD_MM = (85.60, 53.98)
"""Width and height of a bank card (ISO/IEC 7810, ID-1)."""
CORNER_MM = 3.18
"""Radius of its corners (ISO/IEC 7810, from memory)."""

FOOT_MM = 16.0
"""Height of the lines under the card."""
ABOVE_MM = 2.0
"""Space above the card, and above the lines."""

_KEYS = {"left": -1, "up": -1, "-": -1, "right": 1, "down": 1, "+": 1, "=": 1}
"""Keys that make the card a pixel smaller or larger."""


class Measuring(ButtonScene):
    """The drawn card has one edge fixed; the other one follows a finger, or goes a pixel at a press.

    It lies along the longer side of the screen. `keep` takes the px to a millimeter of this screen, None to
    forget what was measured, and may raise PlaceError. `after` gives the screen that follows, if any; without
    practice around it, it is `alone`.
    """

    def __init__(
        self,
        keep: Callable[[float | None], None],
        after: Callable[[], Scene | None],
        *,
        hand: Hand | None = None,
        alone: bool = False,
    ) -> None:
        super().__init__()
        self.keep = keep
        self.after = after
        self.px_per_mm: float | None = None
        self.trouble = ""
        self.asks_before_leaving = not alone
        self._hand = hand
        self._from: tuple[float, float] | None = None

    @property
    def hand(self) -> Hand | None:
        """As on the screen before."""
        return self._hand

    def on_resize(self, size: tuple[int, int], metrics: Metrics) -> None:
        """What was set stays; the first time it is what is in force."""
        self.px_per_mm = self.px_per_mm or metrics.px_per_mm
        super().on_resize(size, metrics)

    def arrange(self) -> Sequence[Button]:
        """Smaller and larger, away with what was measured where something was, back, and keep."""
        buttons: list[tuple[str, Icon]] = [("smaller", "less"), ("larger", "more")]
        if self.metrics.measured:
            buttons.append(("forget", "undo"))
        buttons += [("back", "back"), ("keep", "keep")]
        self.layout = layout(self.metrics, self.hand, len(buttons))
        body = self.layout.body
        self.foot = min(self.metrics.mm(FOOT_MM), body.height * 0.25)
        above = self.metrics.mm(ABOVE_MM)
        self.room = Rect(body.left, body.top + above, body.width, body.height - above - self.foot)
        self._set(self.px_per_mm or self.metrics.px_per_mm)
        return [
            Button(name, shape, text(f"practice.measuring.{name}"), rect, main=name == "keep")
            for (name, shape), rect in zip(buttons, self.layout.rail, strict=True)
        ]

    @property
    def upright(self) -> bool:
        """Whether the card stands on its short side."""
        return self.room.height > self.room.width

    @property
    def long_side(self) -> float:
        """The long side of the card, in px."""
        assert self.px_per_mm is not None
        return self.px_per_mm * CARD_MM[0]

    def _set(self, px_per_mm: float) -> None:
        """So many, as far as the card stays on the screen."""
        room = max(self.room.width, self.room.height)
        least, most = theme.SCALES
        self.px_per_mm = min(max(px_per_mm, least), most, room / CARD_MM[0])
        self.stale = True

    def _grow(self, px: float) -> None:
        self._set((self.long_side + px) / CARD_MM[0])

    def wants(self, x: float, y: float) -> bool:
        """Wherever a finger may draw the edge, and the buttons."""
        return self.layout.body.contains(x, y) or super().wants(x, y)

    def touched(self, event: PointerEvent) -> Scene | None:
        """The edge goes as far as the finger does, wherever that began."""
        if self._from is not None and event.action in ("move", "up"):
            dx, dy = event.x - self._from[0], event.y - self._from[1]
            self._grow(dy if self.upright else dx)
        self._from = (event.x, event.y) if event.action in ("down", "move") else None
        return None

    def on_key(self, event: KeyEvent) -> Scene | None:
        """Arrows make it smaller and larger, Return keeps it."""
        if event.key in _KEYS:
            self._grow(_KEYS[event.key])
            return None
        return super().on_key(event)

    def press(self, name: str) -> Scene | None:
        """Set it, keep it, or leave it as it was."""
        if name in ("smaller", "larger"):
            self._grow(1 if name == "larger" else -1)
            return None
        if name != "back":
            try:
                self.keep(self.px_per_mm if name == "keep" else None)
            except TrainerError as error:
                self.trouble = sentence(error)
                self.stale = True
                return None
        return self.after()

    def draw(self, canvas: Drawing) -> None:
        """The card with its fixed and its moving edge, and what comes of it."""
        headline(canvas, self.layout.head, text("practice.measuring.title"))
        below = self._draw_card(canvas)
        gap = canvas.mm(ABOVE_MM)
        foot = Rect(self.room.left, below + gap, self.room.width, self.foot - gap)
        canvas.text(self.words, foot, min(canvas.mm(4.2), foot.height * 0.3), theme.TEXT, "left")
        self.buttons.draw(canvas)

    @property
    def words(self) -> str:
        """How to do it, how many px make a millimeter, and what is too small then."""
        assert self.px_per_mm is not None
        now = Metrics(self.metrics.width, self.metrics.height, self.px_per_mm)
        words = [text("practice.measuring.how"), text("practice.measuring.now", px=f"{self.px_per_mm:.2f}")]
        if now.button_mm < theme.BUTTON_MM * 0.99:
            words.append(
                text("practice.measuring.small", mm=f"{now.button_mm:.0f}", room=f"{theme.ROOM_MM:g}")
            )
        return " ".join([self.trouble] if self.trouble else words)

    def _draw_card(self, canvas: Drawing) -> float:
        """Paint it; gives back where it ends below."""
        assert self.px_per_mm is not None
        long, short = self.long_side, self.px_per_mm * CARD_MM[1]
        room, (x, y), thick = self.room, self.room.center, canvas.mm(0.7)
        if self.upright:
            wide = min(short, room.width)
            card = Rect(x - wide / 2, room.top, wide, long)
            ends = [(card.left, card.top), (card.right, card.top)]
            moving = [(card.left, card.bottom), (card.right, card.bottom)]
            arrow = (x, card.bottom - canvas.mm(8))
        else:
            high = min(short, room.height)
            card = Rect(room.left, y - high / 2, long, high)
            ends = [(card.left, card.top), (card.left, card.bottom)]
            moving = [(card.right, card.top), (card.right, card.bottom)]
            arrow = (card.right - canvas.mm(8), y)
        canvas.panel(card, self.px_per_mm * CORNER_MM, WHITE, theme.EDGE, max(1.0, canvas.mm(0.3)))
        canvas.line(ends, thick, theme.TEXT)
        canvas.line(moving, thick, theme.VERMILLION)
        icon(canvas, "measure upright" if self.upright else "measure", arrow, canvas.mm(5), theme.VERMILLION)
        return card.bottom
