"""The answer to a letter: praise for what was done, or one thing to try with a picture of it."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING

from strokes.ink import Ink
from strokes.letter import Formation
from strokes.polyline import length
from strokes.report import Kind
from trainer import theme
from trainer.events import Rect
from trainer.lesson import Advice
from trainer.phrases import Saying
from trainer.scenes.buttons import Button, Icon, icon
from trainer.scenes.layout import UNIT_MM, beside, page
from trainer.scenes.letterbox import LetterBox
from trainer.scenes.scene import Scene
from trainer.scenes.screen import Screen
from trainer.texts import text

if TYPE_CHECKING:
    from trainer.drawing import Drawing
    from trainer.sitting import Sitting

FIRST_BIT = 0.9
"""X-heights of a stroke that are shown as its beginning, where the start is the thing to try."""


class Answer(Screen):
    """The main button is what the lesson advises; again and on are open whatever it says."""

    counts = True

    def __init__(
        self,
        sitting: Sitting,
        ink: Ink,
        formation: Formation,
        saying: Saying,
        advice: Advice,
    ) -> None:
        super().__init__(sitting)
        self.ink_written = ink
        self.formation = formation
        self.saying = saying
        step = sitting.step
        self.main = "on" if advice.is_up_from(step) else "again" if advice.step is step else "easier"
        sitting.voice.say(self.saying.sentence)

    def arrange(self) -> Sequence[Button]:
        """The child's letter, with the model beside it where there is something to try."""
        names: list[tuple[str, Icon]] = [("leave", "letters"), ("again", "again"), ("on", "on")]
        if self.main == "easier":
            names.insert(1, ("easier", "watch"))
        names.sort(key=lambda one: one[0] == self.main)
        self.page = page(self.metrics, self.sitting.hand, len(names), head_mm=15.0)
        body = self.page.body
        guide, limit = self.sitting.alphabet.guide, self.metrics.mm(UNIT_MM)
        self.model: LetterBox | None = None
        yours = body
        if not self.saying.is_praise:
            model, yours = beside(body, self.sitting.hand, self.metrics.gap, share=0.5)
            self.model = LetterBox.around(model, guide, self.formation, limit)
        self.box = LetterBox.around(yours, guide, self.formation, limit)
        self.marks = self.box.ink(self.ink_written)
        return [
            Button(name, shape, text(f"practice.answer.{name}"), rect, main=name == self.main)
            for (name, shape), rect in zip(names, self.page.rail, strict=True)
        ]

    def press(self, name: str) -> Scene | None:
        """Again, on, a step down, or back to the letters."""
        match name:
            case "again":
                return self.sitting.again()
            case "on":
                return self.sitting.on()
            case "easier":
                return self.sitting.easier()
        return self.sitting.letters()

    def draw(self, canvas: Drawing) -> None:
        """The sentence over the pictures; a tick stands before praise."""
        head = self.page.head
        radius = head.height * 0.34
        x = head.left + radius
        middle = head.center[1]
        if self.saying.is_praise:
            canvas.disc((x, middle), radius, theme.GREEN)
            icon(canvas, "tick", (x, middle), radius * 0.6, theme.PAPER)
        else:
            canvas.ring((x, middle), radius * 0.86, radius * 0.24, theme.VERMILLION)
            canvas.disc((x, middle), radius * 0.3, theme.VERMILLION)
        room = Rect(x + radius * 1.5, head.top, head.right - x - radius * 1.5, head.height)
        self.headline(canvas, room, self.saying.sentence)
        self.box.paper(canvas)
        if self.model is not None:
            self.box.caption(canvas, text("practice.answer.yours"))
        if self.model is not None:
            self._draw_model(canvas, self.model)
        self.buttons.draw(canvas)

    def _draw_model(self, canvas: Drawing, model: LetterBox) -> None:
        """The letter in pale and what to look at in black, with its start ring and arrows."""
        model.paper(canvas)
        model.caption(canvas, text("practice.answer.model"))
        saying, strokes = self.saying, self.formation.strokes
        if saying.stroke is None:
            model.letter(canvas, self.formation, theme.BLACK, marked=True)
            return
        model.letter(canvas, self.formation, theme.PALE)
        total = length(strokes[saying.stroke].path)
        share = saying.share or (0.0, 1.0)
        if saying.kind is Kind.START and total > 0:
            share = (0.0, min(1.0, FIRST_BIT / total))
        model.piece(canvas, self.formation, saying.stroke, share, theme.BLACK)
