"""Practice sheets, letter cards and reports as PDF.

In come letters of an alphabet and what the record holds; out comes a `Document`, to be saved. Letters are
drawn as the curves they are, true to the millimeter, and need no font.
"""

from trainer.paper.cards import letter_cards, wall_alphabet
from trainer.paper.child_report import child_report
from trainer.paper.choosing import next_letters, sheets_of
from trainer.paper.class_report import class_report
from trainer.paper.document import SIZES, Document, Paper
from trainer.paper.lesson_page import lesson_page
from trainer.paper.ruling import BY_AGE, HIGHEST, LOWEST, USUAL_AGE, Ruling
from trainer.paper.sheets import Sheet, practice_sheets

__all__ = [
    "BY_AGE",
    "HIGHEST",
    "LOWEST",
    "SIZES",
    "USUAL_AGE",
    "Document",
    "Paper",
    "Ruling",
    "Sheet",
    "child_report",
    "class_report",
    "lesson_page",
    "letter_cards",
    "next_letters",
    "practice_sheets",
    "sheets_of",
    "wall_alphabet",
]
