"""Who is writing? A picture card and a name for each pupil; a guest's card where there is no class yet."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import groupby

from trainer.attempt import Pupil
from trainer.drawing import Drawing, Rect, theme
from trainer.drawing.cards import harbor
from trainer.errors import RecordError
from trainer.language import text
from trainer.practice.routes import Routes
from trainer.practice.scenes.screen import Screen
from trainer.speech import Utterance, words
from trainer.window.scenes.buttons import WHITE, Button, rounded
from trainer.window.scenes.layout import grid, layout
from trainer.window.scenes.scene import Scene

CARD_MM = 26.0
"""Width of a card: a picture of 20 mm and more is known from an arm's length."""
TALL = 1.26
"""Height of a card by its width: the name stands under the picture."""
DESK = "trainer desk"
"""What opens the desk of a teacher who chose no other place."""
LOOK_AGAIN = 3.0
"""Seconds after which the record is asked whether other children have cards: names may just be typed."""
DOTS_MM = 7.0
"""Height of the row of page dots under the cards."""


class Cards(Screen):
    """Pages of cards, one group after another; a page that is full goes on on the next.

    `to_mend` tells what a grown-up must mend in the alphabets of these pupils' groups; `sentence`
    stands in the place of the question. `desk_line` is what a teacher without pupils types to add them.
    """

    def __init__(
        self,
        routes: Routes,
        pupils: Sequence[Pupil],
        *,
        to_mend: Sequence[str] = (),
        sentence: str = "",
        desk_line: str = DESK,
    ) -> None:
        super().__init__(routes)
        self.sentence = sentence
        self.place = 0  # the first pupil of the page among all, so that a resize keeps it in sight
        self.pupils = pupils
        self.until_look = LOOK_AGAIN
        self.named = len({pupil.group for pupil in pupils}) > 1
        said = " ".join([*to_mend, text("alphabet.aside.how")]) if to_mend else ""
        empty = "" if pupils else text("practice.cards.empty", line=desk_line)
        self.teacher = text("alphabet.aside.teacher", said=said) if said else empty

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
        back, more = self.layout.rail
        return [
            *cards,
            Button("back", "page back", text("practice.cards.back"), back),
            Button("more", "page on", text("practice.cards.more"), more),
        ]

    def _groups(self) -> list[list[Pupil]]:
        return [list(group) for _, group in groupby(self.pupils, key=lambda pupil: pupil.group)] or [[]]

    def _per_page(self, paged: bool) -> int:
        self.layout = layout(self.metrics, None, 2 if paged else 0)
        foot = self.metrics.mm((9.0 if self.teacher else 0.0) + (DOTS_MM if paged else 0.0))
        body = self.layout.body
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

    @property
    def aloud(self) -> Sequence[Utterance]:
        """What is asked, or why the cards are there again."""
        return (words(self.sentence or text("practice.cards.title")),)

    def on_show(self) -> None:
        """Only news is said by itself: children come and go here, and the question stands there."""
        if self.sentence:
            super().on_show()

    def on_tick(self, seconds: float) -> Scene | None:
        """Names that a teacher adds, changes or takes away meanwhile come here by themselves.

        Not under a finger; and a record that cannot be read is told when somebody needs it.
        """
        super().on_tick(seconds)
        self.routes.cards_are_shown()
        self.until_look -= seconds
        if self.until_look > 0 or self.buttons.pressed is not None:
            return None
        self.until_look = LOOK_AGAIN
        try:
            if list(self.pupils) == self.routes.storage.all_pupils():
                return None
        except RecordError:
            self.until_look = float("inf")
            return None
        after = self.routes.cards()
        if isinstance(after, Cards):
            after.place = self.place
        return after

    def press(self, name: str) -> Scene | None:
        """A card leads to its letters; the arrows lead around through the pages."""
        if name.startswith("card "):
            shown = self.pages[self.at][1]
            return self.routes.choose(shown[int(name.removeprefix("card "))] if shown else None)
        step = 1 if name == "more" else -1
        self.place = self.pages[(self.at + step) % len(self.pages)][0]
        self.rearrange()
        return None

    def draw(self, canvas: Drawing) -> None:
        """The question, the cards, and a line for the teacher: no class yet, or letters to mend."""
        shown = self.pages[self.at][1]
        title = self.sentence or text("practice.cards.title")
        if self.named and not self.sentence:
            title = text("practice.cards.group", group=shown[0].group)
        self.headline(canvas, self.layout.head, title)
        for button in self.buttons.all:
            if not button.name.startswith("card "):
                continue
            number = int(button.name.removeprefix("card "))
            card, name = (
                (shown[number].card, shown[number].name) if shown else (1, text("practice.cards.guest"))
            )
            show(canvas, button.rect, card, name, pressed=button.name == self.buttons.pressed)
        body = self.layout.body
        foot = Rect(body.left, self.body.bottom, body.width, body.bottom - self.body.bottom)
        if len(self.pages) > 1:
            high = min(foot.height, canvas.mm(DOTS_MM))
            dots(canvas, Rect(foot.left, foot.top, foot.width, high), self.at, len(self.pages))
            foot = Rect(foot.left, foot.top + high, foot.width, foot.height - high)
        if self.teacher:
            canvas.text(self.teacher, foot, canvas.mm(3.2), theme.QUIET)
        self.buttons.draw(canvas, but="card ")


def dots(canvas: Drawing, row: Rect, at: int, count: int) -> None:
    """A dot a page: a large full one for the page `at`, counted from 0, small rings for the others."""
    step = min(canvas.mm(5.5), row.width / count)
    x, y = row.center
    for place in range(count):
        here = (x + (place - (count - 1) / 2) * step, y)
        if place == at:
            canvas.disc(here, step * 0.34, theme.TEXT)
        else:
            canvas.ring(here, step * 0.2, step * 0.08, theme.QUIET)


def show(canvas: Drawing, rect: Rect, card: int, name: str, *, pressed: bool = False) -> None:
    """A card: the picture with the name under it."""
    rounded(canvas, rect, WHITE, pressed=pressed)
    air = rect.width * 0.06
    side = rect.width - 2 * air
    harbor.draw(canvas, card, Rect(rect.left + air, rect.top + air, side, side))
    under = rect.top + air + side
    words = Rect(rect.left + air, under, side, rect.bottom - under)
    size = min(max(canvas.mm(5), rect.width * 0.1), rect.width * 0.15)
    canvas.text(name, words, size, theme.TEXT, wrap=False)
