"""Who is writing? A picture card and a name for each pupil; a guest's card where there is no class yet."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import groupby
from typing import TYPE_CHECKING

from trainer import theme
from trainer.attempt import Pupil
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

CARD_MM = 26.0
"""Width of a card: a picture of 20 mm and more is known from an arm's length."""
TALL = 1.26
"""Height of a card by its width: the name stands under the picture."""


class Cards(Screen):
    """Pages of cards, one group after another; a page that is full goes on on the next."""

    def __init__(self, sitting: Sitting) -> None:
        super().__init__(sitting)
        self.place = 0  # the first pupil of the page among all, so that a resize keeps it in sight
        self.pupils = sorted(sitting.keeper.pupils(), key=lambda pupil: pupil.group)
        self.named = len({pupil.group for pupil in self.pupils}) > 1

    def arrange(self) -> Sequence[Button]:
        """The cards of this page, and the buttons to the others when there are any."""
        per_page = self._per_page(len(self._groups()) > 1)
        pages = self._pages(per_page)
        if len(pages) > 1 and len(self._groups()) == 1:
            per_page = self._per_page(True)
            pages = self._pages(per_page)
        self.pages = pages
        self.at = max(n for n, (first, _) in enumerate(pages) if first <= self.place)
        shown = pages[self.at][1]
        cells, _ = grid(self.body, len(shown) or 1, self.side, self.metrics.gap, shape=TALL)
        cards = [Button(f"card {n}", "cards", "", cell) for n, cell in enumerate(cells)]
        if len(pages) == 1:
            return cards
        back, more = self.page.rail
        return [
            *cards,
            Button("back", "back", text("practice.cards.back"), back),
            Button("more", "on", text("practice.cards.more"), more),
        ]

    def _groups(self) -> list[list[Pupil]]:
        return [list(group) for _, group in groupby(self.pupils, key=lambda pupil: pupil.group)] or [[]]

    def _per_page(self, paged: bool) -> int:
        self.page = page(self.metrics, None, 2 if paged else 0)
        foot = self.metrics.mm(9) if not self.pupils else 0.0
        body = self.page.body
        self.body = Rect(body.left, body.top, body.width, body.height - foot)
        self.side = min(self.metrics.mm(CARD_MM), body.width / 2.2, body.height / 2.6)
        most = max((len(group) for group in self._groups()), default=1)
        return grid(self.body, max(1, most), self.side, self.metrics.gap, shape=TALL)[1]

    def _pages(self, per_page: int) -> list[tuple[int, list[Pupil]]]:
        pages, first = [], 0
        for group in self._groups():
            for start in range(0, max(1, len(group)), per_page):
                shown = group[start : start + per_page]
                pages.append((first, shown))
                first += len(shown)
        return pages

    def press(self, name: str) -> Scene | None:
        """A card leads to its letters; the arrows lead around through the pages."""
        if name.startswith("card "):
            shown = self.pages[self.at][1]
            return self.sitting.choose(shown[int(name.removeprefix("card "))] if shown else None)
        step = 1 if name == "more" else -1
        self.place = self.pages[(self.at + step) % len(self.pages)][0]
        self.rearrange()
        return None

    def draw(self, canvas: Drawing) -> None:
        """The question, the cards, and a line for the teacher where there is no class."""
        shown = self.pages[self.at][1]
        title = text("practice.cards.title")
        if self.named:
            title = text("practice.cards.group", group=shown[0].group)
        self.headline(canvas, self.page.head, title)
        for button in self.buttons.all:
            if not button.name.startswith("card "):
                continue
            number = int(button.name.removeprefix("card "))
            card, name = (
                (shown[number].card, shown[number].name) if shown else (1, text("practice.cards.guest"))
            )
            show(canvas, button.rect, card, name, pressed=button.name == self.buttons.pressed)
        if not self.pupils:
            body = self.page.body
            foot = Rect(body.left, self.body.bottom, body.width, body.bottom - self.body.bottom)
            canvas.text(text("practice.cards.empty"), foot, canvas.mm(3.2), theme.QUIET)
        self.buttons.draw(canvas, but="card ")


def show(canvas: Drawing, rect: Rect, card: int, name: str, *, pressed: bool = False) -> None:
    """A card: the picture with the name under it."""
    rounded(canvas, rect, WHITE, pressed=pressed)
    air = rect.width * 0.06
    side = rect.width - 2 * air
    harbor.draw(canvas, card, Rect(rect.left + air, rect.top + air, side, side))
    under = rect.top + air + side
    words = Rect(rect.left + air, under, side, rect.bottom - under)
    canvas.text(name, words, min(canvas.mm(5), rect.width * 0.15), theme.TEXT, wrap=False)
