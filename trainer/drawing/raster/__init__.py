"""What draws with pygame: the canvas, its typeface, and the picture of an alphabet for the wall."""

from trainer.drawing.raster import picture
from trainer.drawing.raster.canvas import Canvas, sprites

__all__ = [
    "Canvas",
    "picture",
    "sprites",
]
