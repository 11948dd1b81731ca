"""The end: the letters and words of the showing, as they are written; or that there was nothing to show."""

from __future__ import annotations

from collections.abc import Sequence

from trainer.drawing import Drawing, Rect, lettering
from trainer.language import text
from trainer.wall.items import Item, WallLetter, WallWord
from trainer.wall.turns import Turn
from trainer.wall.views.view import Manner, View
from trainer.window.scenes.layout import grid

FLAT = 0.5
"""Height of a cell as a share of its width."""


class EndView(View):
    """All that was shown, small, side by side."""

    def __init__(self, manner: Manner, items: Sequence[Item]) -> None:
        super().__init__(manner)
        self.shown = [
            (item.alphabet, item.letter if isinstance(item, WallLetter) else item.word.text)
            for item in items
            if isinstance(item, WallLetter | WallWord)
        ]

    @property
    def caption(self) -> str:
        """That this was all."""
        return text("wall.end" if self.shown else "wall.nothing")

    def arrange(self, body: Rect) -> None:
        """A grid of equal cells."""
        side = body.width / 6
        cells, _ = grid(body, max(1, len(self.shown)), side, side * 0.1, shape=FLAT)
        self.cells = cells

    def enter(self, turn: Turn, *, forward: bool) -> None:  # noqa: ARG002 - it has one turn
        """Nothing is said."""
        self.leave()

    def repeat(self) -> None:
        """There is nothing to repeat."""

    def draw(self, canvas: Drawing) -> None:
        """Each in its own letterforms; what finds no room is left out."""
        for (alphabet, written), cell in zip(self.shown, self.cells, strict=False):
            lettering.word(canvas, alphabet, written, cell)
