"""Which words rhyme, found one by one; then words that another first sound makes of the same end."""

from __future__ import annotations

from trainer.drawing import Drawing, Rect, lettering, theme
from trainer.language import text
from trainer.speech import words
from trainer.wall.items import WallRhymes
from trainer.wall.turns import Act, Turn
from trainer.wall.views.view import Manner, View
from trainer.window.events import PointerEvent
from trainer.window.scenes.buttons import WHITE, icon, rounded
from trainer.window.scenes.layout import grid, row

OVER = 0.3
"""The height of the word to rhyme with, as a share of what there is."""
FLAT = 0.55
"""Height of a word's cell as a share of its width."""
JUST_LESS = 0.999
"""So that all cells find room whatever becomes of the last digit."""


class RhymesView(View):
    """Each turn finds one more; a touch on a word finds it, and one that does not rhyme turns pale."""

    def __init__(self, manner: Manner, item: WallRhymes) -> None:
        super().__init__(manner)
        self.item = item
        self.turn = Turn(0, Act.RHYMES)
        self.rhyming: list[str] = []
        self.unlike: list[str] = []
        self.pressed: str | None = None

    @property
    def caption(self) -> str:
        """The question; at the end that there are no more."""
        rhymes = self.item.rhymes
        if self.turn.act is Act.MAKE:
            return text("practice.rhymes.make") if self.turn.part == 0 else self._made(self.turn.part)
        found_all = len(self.rhyming) == len(rhymes.rhyming)
        return text("wall.rhymes_all" if found_all else "wall.rhymes", word=rhymes.word.text)

    def _made(self, part: int) -> str:
        return text("wall.made", word=self.item.rhymes.made[part - 1].text)

    def arrange(self, body: Rect) -> None:
        """The word over those to choose from; an open box before the end of the word."""
        gap = body.height * 0.04
        self.over = Rect(body.left, body.top, body.width, body.height * OVER)
        under = Rect(body.left, self.over.bottom + gap, body.width, body.height - self.over.height - gap)
        options = self.item.rhymes.options
        columns = 3 if under.width > 2 * under.height else 2
        side = (under.width - (columns - 1) * gap) / columns
        rows = -(-len(options) // columns)
        side = min(side, (under.height - (rows - 1) * gap) / rows / FLAT)
        cells, _ = grid(under, len(options), side * JUST_LESS, gap, shape=FLAT)
        self.cells = dict(zip((word.text for word in options), cells, strict=True))
        self.open_box, self.rest = row(body, 2, body.height * 0.8)

    def enter(self, turn: Turn, *, forward: bool) -> None:
        """One more is found or made; back there is one less."""
        self.turn, self.pressed = turn, None
        self.leave()
        if turn.act is Act.RHYMES:
            left = (w.text for w in self.item.rhymes.options if w.text in self.item.rhymes.rhyming)
            unfound = [word for word in left if word not in self.rhyming]
            self.rhyming = [*self.rhyming, *unfound][: turn.part]
            if turn.part == 0:
                self.unlike = []
        if forward:
            self.repeat()

    def repeat(self) -> None:
        """The word to rhyme with, the one that was found last, or the one that is made."""
        rhymes, part = self.item.rhymes, self.turn.part
        if self.turn.act is Act.RHYMES:
            self.manner.voice.say(words(self.rhyming[part - 1] if part else rhymes.word.text))
        elif part:
            self.manner.voice.say(words(rhymes.made[part - 1].text))

    def wants(self, x: float, y: float) -> bool:
        """The words to choose from."""
        return self.turn.act is Act.RHYMES and (self.pressed is not None or self._at(x, y) is not None)

    def _at(self, x: float, y: float) -> str | None:
        return next((word for word, cell in self.cells.items() if cell.contains(x, y)), None)

    def touched(self, event: PointerEvent) -> int:
        """A word is chosen when the finger lifts on it; one that rhymes leads a turn on."""
        if event.action == "down":
            self.pressed = self._at(event.x, event.y)
            return 0
        if event.action == "move":
            return 0
        chosen, self.pressed = self.pressed, None
        if event.action == "cancel" or chosen is None or chosen != self._at(event.x, event.y):
            return 0
        self.manner.voice.say(words(chosen))
        if chosen in (*self.rhyming, *self.unlike):
            return 0
        if chosen not in self.item.rhymes.rhyming:
            self.unlike.append(chosen)
            return 0
        self.rhyming.append(chosen)
        self.turn = self.turn._replace(part=len(self.rhyming))
        return 1

    def draw(self, canvas: Drawing) -> None:
        """The words; a tick on those that rhyme, the others that were touched pale."""
        if self.turn.act is Act.MAKE:
            self._draw_made(canvas)
            return
        alphabet = self.item.alphabet
        lettering.word(canvas, alphabet, self.item.rhymes.word.text, self.over.inset(self.over.height * 0.06))
        for word, cell in self.cells.items():
            rhymes, unlike = word in self.rhyming, word in self.unlike
            rounded(canvas, cell, theme.CARD if unlike else WHITE, strong=rhymes)
            color = theme.EDGE if unlike else theme.BLACK
            lettering.word(canvas, alphabet, word, cell.inset(cell.height * 0.1), color)
            if rhymes:
                tick(canvas, cell)

    def _draw_made(self, canvas: Drawing) -> None:
        rhymes, part = self.item.rhymes, self.turn.part
        end = rhymes.word.rime_letters
        rounded(canvas, self.open_box, WHITE, strong=True)
        if part:
            first = rhymes.made[part - 1].text.removesuffix(end)
            lettering.word(canvas, self.item.alphabet, first, self.open_box.inset(self.open_box.height * 0.1))
        lettering.word(canvas, self.item.alphabet, end, self.rest.inset(self.rest.height * 0.1))


def tick(canvas: Drawing, cell: Rect) -> None:
    """A tick in the corner of a word that rhymes."""
    radius = cell.height * 0.13
    center = (cell.right - radius * 1.4, cell.top + radius * 1.4)
    canvas.disc(center, radius, theme.GREEN)
    icon(canvas, "tick", center, radius * 0.6, theme.PAPER)
