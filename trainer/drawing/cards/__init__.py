"""The picture cards of pupils: things of a small harbor town."""

from trainer.drawing.cards import harbor
from trainer.drawing.cards.harbor import draw

__all__ = [
    "draw",
    "harbor",
]
