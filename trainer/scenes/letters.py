"""The letters of today, drawn as they are written; one button goes on, and any letter can be chosen."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING

from trainer import lettering, theme
from trainer.events import Rect
from trainer.scenes import harbor
from trainer.scenes.buttons import WHITE, Button, rounded
from trainer.scenes.layout import grid, page
from trainer.scenes.scene import Scene
from trainer.scenes.screen import Screen
from trainer.texts import text

if TYPE_CHECKING:
    from trainer.drawing import Drawing
    from trainer.sitting import Sitting

TALL = 1.15


class Letters(Screen):
    """Today's letters, or with `every` the whole alphabet."""

    def __init__(self, sitting: Sitting, *, every: bool = False) -> None:
        super().__init__(sitting)
        self.every = every
        self.names = list(sitting.alphabet) if every else [offer.letter for offer in sitting.offers]

    def arrange(self) -> Sequence[Button]:
        """A cell a letter, and the rail."""
        metrics = self.metrics
        self.page = page(metrics, self.sitting.hand, 3)
        body = self.page.body
        side = min(metrics.mm(15 if self.every else 32), body.width / 2)
        cells, shown = grid(
            body, len(self.names), side, metrics.gap * (0.6 if self.every else 1.0), shape=TALL
        )
        while shown < len(self.names) and side > 24:
            side *= 0.9
            cells, shown = grid(body, len(self.names), side, metrics.gap * 0.4, shape=TALL)
        cards, every, go = self.page.rail
        switch = ("today", "practice.letters.today") if self.every else ("all", "practice.letters.all")
        return [
            *(
                Button(f"letter {name}", "letters", "", cell)
                for name, cell in zip(self.names, cells, strict=True)
            ),
            Button("cards", "cards", text("practice.letters.cards"), cards),
            Button(switch[0], "letters", text(switch[1]), every),
            Button("go", "on", text("practice.letters.go"), go, main=True),
        ]

    def press(self, name: str) -> Scene | None:
        """On with the first letter, or with the one that was chosen."""
        if name.startswith("letter "):
            return self.sitting.begin(name.removeprefix("letter "))
        if name == "cards":
            return self.sitting.cards()
        if name == "go":
            return self.sitting.begin(self.sitting.offers[0].letter)
        return Letters(self.sitting, every=not self.every)

    def draw(self, canvas: Drawing) -> None:
        """Who sits here, the letters, the rail."""
        head = self.page.head
        pupil = self.sitting.pupil
        left_handed = self.sitting.hand == "left"
        side = head.height * 0.9
        title = head
        if pupil is not None:
            x = head.right - side if left_handed else head.left
            harbor.draw(canvas, pupil.card, Rect(x, head.top, side, side))
            gap = side + canvas.mm(3)
            title = Rect(head.left + (0 if left_handed else gap), head.top, head.width - gap, head.height)
        key = "practice.letters.every" if self.every else "practice.letters.title"
        self.headline(canvas, title, text(key))
        for place, button in enumerate(b for b in self.buttons.all if b.name.startswith("letter ")):
            first = place == 0 and not self.every
            rounded(canvas, button.rect, WHITE, pressed=button.name == self.buttons.pressed, strong=first)
            name = button.name.removeprefix("letter ")
            lettering.word(
                canvas, self.sitting.alphabet, name, button.rect.inset(button.rect.width * 0.1), theme.BLACK
            )
        self.buttons.draw(canvas, but="letter ")
