"""A word on one line: size, base line and spacing over all its letters.

In come the ink of a word between guide lines, in letter space, and its letters; out comes a WordReport: which
trace belongs to which letter, and findings in teaching order. How each letter was formed is not judged here.

Letters are told apart by where the ink lies, as a dot may be made when the whole word is there; evenness goes
by the child's own letters, and the lines tell the base line alone.
"""

from strokes.words.split import split
from strokes.words.tolerances import WORD_STAGES, WordTolerances
from strokes.words.whole import WordReport, check_word, word_checks_version

__all__ = [
    "WORD_STAGES",
    "WordReport",
    "WordTolerances",
    "check_word",
    "split",
    "word_checks_version",
]
