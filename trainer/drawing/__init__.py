"""What scenes, pages and pictures are drawn with: surface, coverage, type, colors, letters and arrows.

In come letters, ink and words with a place in px; out come calls on a `Drawing`, the protocol that the
window's canvas and a recording twin in tests offer. Only `raster` paints with pygame.

- Ink is painted by its distance from the pen's track (coverage by distance, round caps and joins), because
  pygame's own thick lines are jagged.
- The palette is Okabe and Ito's, and a color never speaks alone: a number, a dash or a shape says the same.
- Pixels exist only in `trainer`; y grows downward, as in letter space, so that nothing is ever flipped.
"""

from trainer.drawing import arrows, coverage, lettering, theme
from trainer.drawing.arcs import arc
from trainer.drawing.arrows import Ring
from trainer.drawing.coverage import Box, Point
from trainer.drawing.drawn_ink import FARTHEST, drawable
from trainer.drawing.ink_layer import InkLayer, paint
from trainer.drawing.rect import Rect
from trainer.drawing.surface import Align, Drawing, Points
from trainer.drawing.theme import PAPER, Metrics, rgb
from trainer.drawing.typeface import face_file

__all__ = [
    "FARTHEST",
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
    "drawable",
    "face_file",
    "lettering",
    "paint",
    "rgb",
    "theme",
]
