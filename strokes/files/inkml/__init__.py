"""InkML, the W3C markup for ink (Recommendation of 20 September 2011): read from strangers, and written.

What is written is in explicit values alone, so that any reader of InkML can take it in.
"""

from strokes.files.inkml.reader import read_inkml
from strokes.files.inkml.writer import inkml_lines

__all__ = ["inkml_lines", "read_inkml"]
