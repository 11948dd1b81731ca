"""The picture cards of pupils: 36 things of a small harbor town, told apart by their shape."""

from trainer.drawing.cards import harbor
from trainer.drawing.cards.harbor import draw

__all__ = [
    "draw",
    "harbor",
]
