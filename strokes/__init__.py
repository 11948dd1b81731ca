"""Letters, ink and checks: how a letter was written. No window, no child, no record, no text for people.

from strokes import Alphabet, Ink, check

letter = Alphabet.load()["b"]
report = check(Ink.from_arrays([first_trace, second_trace]), letter)
report.formed, report.looks_right, report.findings
"""

from strokes.alphabet import Alphabet
from strokes.checks import check
from strokes.errors import InkError, LetterError, LetterFileError, StrokesError, ToleranceError
from strokes.ink import Ink, Trace
from strokes.kinds import Kind
from strokes.letter import Family, Formation, GuideLines, Hand, Letter, Stroke
from strokes.recognition import Match, identify
from strokes.report import Finding, Report
from strokes.tolerances import Tolerances

__all__ = [
    "Alphabet",
    "Family",
    "Finding",
    "Formation",
    "GuideLines",
    "Hand",
    "Ink",
    "InkError",
    "Kind",
    "Letter",
    "LetterError",
    "LetterFileError",
    "Match",
    "Report",
    "Stroke",
    "StrokesError",
    "ToleranceError",
    "Tolerances",
    "Trace",
    "check",
    "identify",
]
