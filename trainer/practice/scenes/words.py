"""The words of today, drawn as they are written; one button goes on, and any word can be chosen."""

from __future__ import annotations

from collections.abc import Sequence

from trainer.drawing import Drawing, lettering, theme
from trainer.language import text
from trainer.practice.routes import Routes
from trainer.practice.scenes.screen import Screen
from trainer.speech import Utterance, words
from trainer.window.scenes.buttons import WHITE, Button, rounded
from trainer.window.scenes.layout import grid, layout
from trainer.window.scenes.scene import Scene

CELL_MM = 30.0
"""Width of a word's cell."""
FLAT = 0.62
"""Height of a word's cell as a share of its width."""


class Words(Screen):
    """A cell a word, as many on a page as there is room for; the first one is the next to be written."""

    def __init__(self, routes: Routes) -> None:
        super().__init__(routes)
        self.place = 0
        self.per_page = 1

    def arrange(self) -> Sequence[Button]:
        """The words of this page, and the rail."""
        session, metrics = self.session, self.metrics
        for buttons in (2, 3):
            self.layout = layout(metrics, session.hand, buttons)
            body = self.layout.body
            side = min(metrics.mm(CELL_MM), body.width / 2.2)
            cells, self.per_page = grid(body, len(session.words), side, metrics.gap * 0.7, shape=FLAT)
            if self.per_page >= len(session.words):
                break
        self.place -= self.place % self.per_page
        page = session.words[self.place : self.place + self.per_page]
        leave, *more, go = self.layout.rail
        return [
            *(
                Button(f"word {word.text}", "words", "", cell)
                for word, cell in zip(page, cells, strict=False)
            ),
            Button("leave", "letters", text("practice.write.leave"), leave),
            *(Button("more", "page on", text("practice.cards.more"), rect) for rect in more),
            *([Button("go", "on", text("practice.letters.go"), go, main=True)] if session.words else []),
        ]

    @property
    def aloud(self) -> Sequence[Utterance]:
        """What is to be chosen from."""
        return (words(self.sentence),)

    @property
    def sentence(self) -> str:
        """The headline; a child who can write no word yet is told so kindly."""
        return text("practice.words.title" if self.session.words else "practice.words.none")

    def press(self, name: str) -> Scene | None:
        """A word, the next page, or back to the letters."""
        if name == "leave":
            return self.routes.letters()
        if name == "more":
            after = self.place + self.per_page
            self.place = after if after < len(self.session.words) else 0
            self.rearrange()
            return None
        if name == "go":
            return self.routes.words.begin(self.session.words[0])
        chosen = name.removeprefix("word ")
        return self.routes.words.begin(next(word for word in self.session.words if word.text == chosen))

    def draw(self, canvas: Drawing) -> None:
        """The words and the rail."""
        self.headline(canvas, self.layout.head, self.sentence)
        shown = [button for button in self.buttons.all if button.name.startswith("word ")]
        for number, button in enumerate(shown):
            first = number == 0 and self.place == 0
            rounded(canvas, button.rect, WHITE, pressed=button.name == self.buttons.pressed, strong=first)
            box = button.rect.inset(button.rect.height * 0.08)
            spelled = button.name.removeprefix("word ")
            lettering.word(canvas, self.session.alphabet, spelled, box, theme.BLACK)
        self.buttons.draw(canvas, but="word ")
