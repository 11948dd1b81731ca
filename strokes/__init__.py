"""Letters, ink and checks: how a letter was written. No window, no child, no record, no text for people.

from strokes import Alphabet, Ink, check

letter = Alphabet.load()["b"]
report = check(Ink.from_arrays([first_trace, second_trace]), letter)
report.formed, report.looks_right, report.findings

Letter space: y grows downward, as in SVG and on screens, the base line is y = 0 and the x-height line y =
-1; lengths are in x-heights, angles in degrees, times in seconds from the first touch. Formation and look
are two results, and there is no mark out of a hundred: a letter that looks right may be formed wrongly,
and the other way round; correct formation predicts legibility on its own (Graham, Weintraub & Berninger
2001). The best of a letter's formations counts: what left-handers do differently, and what many adults do,
is an accepted formation in the letter's file and no exception in the code.
"""

from strokes.alphabet import Alphabet
from strokes.checks import check
from strokes.errors import InkError, LetterError, LetterFileError, StrokesError, ToleranceError
from strokes.ink import Ink, Trace
from strokes.kinds import Kind
from strokes.letter import Family, Formation, GuideLines, Hand, Letter, LetterSet, Stroke, set_of
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
    "LetterSet",
    "Match",
    "Report",
    "Stroke",
    "StrokesError",
    "ToleranceError",
    "Tolerances",
    "Trace",
    "check",
    "identify",
    "set_of",
]
