"""The letters of today, drawn as they are written; one button goes on, and any letter can be chosen."""

from __future__ import annotations

from collections.abc import Sequence

from trainer.attempt import Pupil
from trainer.drawing import Drawing, Rect, lettering, theme
from trainer.drawing.cards import harbor
from trainer.language import text
from trainer.practice.routes import Routes
from trainer.practice.scenes.buttons import WHITE, Button, Icon, rounded
from trainer.practice.scenes.layout import grid, layout
from trainer.practice.scenes.scene import Scene
from trainer.practice.scenes.screen import Screen

TALL = 1.15
BADGE_MM = 30.0
"""The most room for the name beside its picture."""


class Letters(Screen):
    """Today's letters, or with `every` the whole alphabet."""

    def __init__(self, routes: Routes, *, every: bool = False) -> None:
        super().__init__(routes)
        self.every = every
        self.names = list(self.session.alphabet) if every else [offer.letter for offer in self.session.offers]

    def arrange(self) -> Sequence[Button]:
        """A cell a letter, and the rail."""
        metrics = self.metrics
        self.layout = layout(metrics, self.session.hand, 3)
        body = self.layout.body
        side = min(metrics.mm(15 if self.every else 32), body.width / 2)
        cells, shown = grid(
            body, len(self.names), side, metrics.gap * (0.6 if self.every else 1.0), shape=TALL
        )
        while shown < len(self.names) and side > 24:
            side *= 0.9
            cells, shown = grid(body, len(self.names), side, metrics.gap * 0.4, shape=TALL)
        cards, every, go = self.layout.rail
        switch: tuple[str, Icon] = ("today", "letters") if self.every else ("all", "every")
        return [
            *(
                Button(f"letter {name}", "letters", "", cell)
                for name, cell in zip(self.names, cells, strict=True)
            ),
            Button("cards", "cards", text("practice.letters.cards"), cards),
            Button(*switch, text(f"practice.letters.{switch[0]}"), every),
            Button("go", "on", text("practice.letters.go"), go, main=True),
        ]

    def press(self, name: str) -> Scene | None:
        """On with the first letter, or with the one that was chosen."""
        if name.startswith("letter "):
            return self.routes.begin(name.removeprefix("letter "))
        if name == "cards":
            return self.routes.cards()
        if name == "go":
            return self.routes.begin(self.session.offers[0].letter)
        return Letters(self.routes, every=not self.every)

    def draw(self, canvas: Drawing) -> None:
        """Who practices, the letters, the rail."""
        title = self.layout.head
        if self.session.pupil is not None:
            title = self._badge(canvas, self.session.pupil)
        key = "practice.letters.every" if self.every else "practice.letters.title"
        self.headline(canvas, title, text(key))
        for place, button in enumerate(b for b in self.buttons.all if b.name.startswith("letter ")):
            first = place == 0 and not self.every
            rounded(canvas, button.rect, WHITE, pressed=button.name == self.buttons.pressed, strong=first)
            name = button.name.removeprefix("letter ")
            lettering.word(
                canvas, self.session.alphabet, name, button.rect.inset(button.rect.width * 0.1), theme.BLACK
            )
        self.buttons.draw(canvas, but="letter ")

    def _badge(self, canvas: Drawing, pupil: Pupil) -> Rect:
        """The picture and the name, away from the buttons; gives back the rest of the head."""
        head, gap = self.layout.head, canvas.mm(3)
        side = head.height * 0.92
        wide = side + min(canvas.mm(BADGE_MM), head.width * 0.32)
        rest = head.width - wide - gap
        left_handed = self.hand == "left"
        badge = Rect(head.right - wide if left_handed else head.left, head.top, wide, side)
        canvas.panel(badge, side * 0.12, WHITE, theme.EDGE, max(1.0, canvas.mm(0.3)))
        picture = Rect(badge.right - side if left_handed else badge.left, badge.top, side, side)
        harbor.draw(canvas, pupil.card, picture.inset(side * 0.06))
        words = Rect(badge.left + (0 if left_handed else side), badge.top, wide - side, side)
        canvas.text(pupil.name, words.inset(canvas.mm(0.8)), canvas.mm(4.6), theme.TEXT, bold=True)
        return Rect(head.left if left_handed else badge.right + gap, head.top, rest, head.height)
