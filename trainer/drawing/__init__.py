"""What scenes, pages and pictures draw with: canvas, coverage, type, colors, letters and arrows."""

from trainer.drawing import arrows, coverage, lettering, theme
from trainer.drawing.arcs import arc
from trainer.drawing.arrows import Ring
from trainer.drawing.coverage import Box, Point
from trainer.drawing.ink_layer import InkLayer, paint
from trainer.drawing.rect import Rect
from trainer.drawing.surface import Align, Drawing, Points
from trainer.drawing.theme import PAPER, Metrics, rgb

__all__ = [
    "PAPER",
    "Align",
    "Box",
    "Drawing",
    "InkLayer",
    "Metrics",
    "Point",
    "Points",
    "Rect",
    "Ring",
    "arc",
    "arrows",
    "coverage",
    "lettering",
    "paint",
    "rgb",
    "theme",
]
