"""InkML, the W3C markup for ink: read from strangers, and written in explicit values."""

from strokes.files.inkml.writer import written

__all__ = [
    "written",
]
