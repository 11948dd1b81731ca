"""Letters, ink and checks: how a letter was written. No window, no child, no record, no text for people.

from strokes import Alphabet, Ink, check

letter = Alphabet.load()["b"]
report = check(Ink.from_arrays([first_trace, second_trace]), letter)
report.formed, report.looks, report.findings
"""

from strokes.checks.checker import check
from strokes.errors import InkError, LetterError, LetterFileError, StrokesError, ToleranceError
from strokes.ink import Ink, Trace
from strokes.letter import Alphabet, Family, Formation, GuideLines, Hand, Letter, Stroke
from strokes.recognition.ranking import Match, identify
from strokes.report import Finding, Kind, Report
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
