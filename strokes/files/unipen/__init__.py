"""UNIPEN 1.0, the format of the large collections of handwriting: read from strangers."""

from strokes.files.unipen.lines import KEY_WORD
from strokes.files.unipen.reader import read_unipen

__all__ = ["KEY_WORD", "read_unipen"]
