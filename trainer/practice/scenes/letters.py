"""The letters of today, drawn as they are written; one button goes on, and any letter can be chosen."""

from __future__ import annotations

from collections.abc import Sequence

from trainer.attempt import Pupil
from trainer.drawing import Drawing, Rect, lettering, theme
from trainer.drawing.cards import harbor
from trainer.language import text
from trainer.practice.routes import Routes
from trainer.practice.scenes.screen import Screen
from trainer.speech import Utterance, words
from trainer.teaching import by_set
from trainer.window.scenes.buttons import WHITE, Button, Icon, rounded
from trainer.window.scenes.layout import HEAD_SHARE, grid, layout
from trainer.window.scenes.scene import Scene

TALL, SQUARE = 1.15, 1.0
"""Height of a letter's cell as a share of its width."""
SETS_SHARE = 0.16
"""The most that the head takes of the height where it has the sets to choose from, with a child's finger."""
SAMPLES = 3
"""Letters that stand for their set on its button."""
BADGE_MM = 30.0
"""The most room for the name beside its picture."""


class Letters(Screen):
    """Today's letters, or with `every` all of this child's: a set on one page, where there is room for it."""

    def __init__(self, routes: Routes, *, every: bool = False) -> None:
        super().__init__(routes)
        self.every = every
        self.sets = by_set(self.session.letters) if every else {}
        self.shown = next(iter(self.sets), None)
        self.place = 0  # the first letter of the page in its set, so that a resize keeps it in sight
        self.per_page = 1

    @property
    def names(self) -> list[str]:
        """The letters that are shown now."""
        buttons = (button.name for button in self.buttons.all)
        return [name.removeprefix("letter ") for name in buttons if name.startswith("letter ")]

    def arrange(self) -> Sequence[Button]:
        """A cell a letter, the sets, and the rail."""
        letters = self._page_of_set() if self.every else self._today()
        cards, *middle, go = self.layout.rail
        to_words = (
            () if self.every else (Button("words", "words", text("practice.letters.words"), middle.pop(1)),)
        )
        switch: tuple[str, Icon] = ("today", "letters") if self.every else ("all", "every")
        return [
            *letters,
            *(self._set_buttons() if len(self.sets) > 1 else ()),
            Button("cards", "cards", text("practice.letters.cards"), cards),
            Button(*switch, text(f"practice.letters.{switch[0]}"), middle[0]),
            *(Button("more", "page on", text("practice.cards.more"), rect) for rect in middle[1:]),
            *to_words,
            Button("go", "on", text("practice.letters.go"), go, main=True),
        ]

    def _today(self) -> list[Button]:
        """All letters of today: where they are many, each is smaller."""
        metrics = self.metrics
        names = [offer.letter for offer in self.session.offers]
        self.layout = layout(metrics, self.session.hand, 4)
        body = self.layout.body
        side = min(metrics.mm(32), body.width / 2)
        cells, shown = grid(body, len(names), side, metrics.gap, shape=TALL)
        while shown < len(names) and side > 24:
            side *= 0.9
            cells, shown = grid(body, len(names), side, metrics.gap * 0.4, shape=TALL)
        return _cells(names, cells)

    def _page_of_set(self) -> list[Button]:
        """The letters of the set that is shown, as many as there is room for in a child's size.

        Only where they need more than one page there is a button for the next one.
        """
        metrics, names = self.metrics, self.sets[self.shown] if self.shown else ()
        share = SETS_SHARE if len(self.sets) > 1 else HEAD_SHARE
        for buttons, gap, shape in ((3, 0.6, TALL), (3, 0.4, TALL), (3, 0.4, SQUARE), (4, 0.4, TALL)):
            self.layout = layout(metrics, self.session.hand, buttons, head_share=share)
            body, apart = self.layout.body, metrics.gap * gap
            side = min(metrics.button, body.width / 2)
            below = Rect(body.left, body.top + apart, body.width, body.height - apart)
            cells, self.per_page = grid(below, len(names), side, apart, shape=shape)
            if self.per_page == len(names):
                break
        self.place -= self.place % self.per_page
        page = names[self.place : self.place + self.per_page]
        return _cells(page, cells)

    def _set_buttons(self) -> list[Button]:
        """A button a set, in the head beside who practices."""
        head = self._rest_of_head()
        side, gap = self.metrics.row(len(self.sets), head.width)
        tall = min(side, head.height)
        wide = min(side * 1.6, (head.width - gap * (len(self.sets) - 1)) / len(self.sets))
        return [
            Button(f"set {name}", "letters", "", Rect(head.left + place * (wide + gap), head.top, wide, tall))
            for place, name in enumerate(self.sets)
        ]

    @property
    def aloud(self) -> Sequence[Utterance]:
        """What is to be chosen from; over the whole alphabet nothing."""
        return () if self.every else (words(text("practice.letters.title")),)

    def press(self, name: str) -> Scene | None:
        """On with the first letter, or with the one that was chosen; or to the letters of another set."""
        if name.startswith("set "):
            self.shown = next(letter_set for letter_set in self.sets if name == f"set {letter_set}")
            self._turn_to(0)
            return None
        if name == "more" and self.shown:
            after = self.place + self.per_page
            self._turn_to(after if after < len(self.sets[self.shown]) else 0)
            return None
        if name.startswith("letter "):
            return self.routes.begin(name.removeprefix("letter "))
        if name == "cards":
            return self.routes.cards()
        if name == "words":
            return self.routes.words.today()
        if name == "go":
            return self.routes.begin(self.session.offers[0].letter)
        return Letters(self.routes, every=not self.every)

    def _turn_to(self, place: int) -> None:
        self.place = place
        self.rearrange()

    def draw(self, canvas: Drawing) -> None:
        """Who practices, the letters, the rail."""
        if self.session.pupil is not None:
            self._badge(canvas, self.session.pupil)
        if len(self.sets) > 1:
            self._draw_sets(canvas)
        else:
            key = "practice.letters.every" if self.every else "practice.letters.title"
            self.headline(canvas, self._rest_of_head(), text(key))
        for place, button in enumerate(b for b in self.buttons.all if b.name.startswith("letter ")):
            first = place == 0 and not self.every
            rounded(canvas, button.rect, WHITE, pressed=button.name == self.buttons.pressed, strong=first)
            name = button.name.removeprefix("letter ")
            lettering.word(
                canvas, self.session.alphabet, name, button.rect.inset(button.rect.width * 0.1), theme.BLACK
            )
        self.buttons.draw(canvas, but=("letter ", "set "))

    def _draw_sets(self, canvas: Drawing) -> None:
        """The first letters of each set on its button; the set that is shown is on a darker card."""
        alphabet = self.session.alphabet
        for button in (b for b in self.buttons.all if b.name.startswith("set ")):
            shown = button.name == f"set {self.shown}"
            face = theme.CARD if shown else WHITE
            rounded(canvas, button.rect, face, pressed=button.name == self.buttons.pressed, strong=shown)
            letters = next(own for name, own in self.sets.items() if button.name == f"set {name}")
            box = button.rect.inset(button.rect.height * 0.12)
            lettering.word(canvas, alphabet, "".join(letters[:SAMPLES]), box, theme.BLACK)

    def _badge_width(self) -> float:
        """The picture and the name; the picture alone where the sets would be too narrow."""
        head, metrics = self.layout.head, self.metrics
        side, name = head.height * 0.92, min(metrics.mm(BADGE_MM), head.width * 0.32)
        sets = len(self.sets) * (metrics.button + metrics.gap) if len(self.sets) > 1 else 0.0
        return side + name if side + name + sets <= head.width else side

    def _rest_of_head(self) -> Rect:
        """The head beside the badge of who practices."""
        head = self.layout.head
        if self.session.pupil is None:
            return head
        taken = self._badge_width() + self.metrics.mm(3)
        left = head.left if self.hand == "left" else head.left + taken
        return Rect(left, head.top, head.width - taken, head.height)

    def _badge(self, canvas: Drawing, pupil: Pupil) -> None:
        """The picture and the name, away from the buttons."""
        head = self.layout.head
        side = head.height * 0.92
        wide = self._badge_width()
        left_handed = self.hand == "left"
        badge = Rect(head.right - wide if left_handed else head.left, head.top, wide, side)
        canvas.panel(badge, side * 0.12, WHITE, theme.EDGE, max(1.0, canvas.mm(0.3)))
        picture = Rect(badge.right - side if left_handed else badge.left, badge.top, side, side)
        harbor.draw(canvas, pupil.card, picture.inset(side * 0.06))
        words = Rect(badge.left + (0 if left_handed else side), badge.top, wide - side, side)
        if words.width > 0:
            canvas.text(pupil.name, words.inset(canvas.mm(0.8)), canvas.mm(4.6), theme.TEXT, bold=True)


def _cells(names: Sequence[str], cells: Sequence[Rect]) -> list[Button]:
    return [Button(f"letter {name}", "letters", "", cell) for name, cell in zip(names, cells, strict=False)]
