"""Attempts in, decisions out, no database: lessons, rules, summaries, groups, alphabets.

In come attempts and counts as plain types; out come what to practice next and with how much help, the
summary of a class, whom to gather for which letter, and which alphabet a group uses. A teacher's own letters
are kept here too: drafts as she writes them, their trial, saving them, and the versions before.

An attempt has three outcomes: well formed at the first try, mended after a stroke was shown again, not
yet. They are counted apart; figures, levels, groups and steps go by the first try. A teacher who overrules
answers yes or no for the whole attempt, and her answer counts. Groups are an exact answer to a small
question: at most four groups of two to six, a pupil in one of them, the most need covered, another letter
and movement before look (an integer program, checked against brute force).
"""

from trainer.teaching import (
    alphabets,
    lesson,
    letter_drafts,
    letter_history,
    letter_saving,
    own_alphabets,
    own_letters,
    tries,
)
from trainer.teaching.alphabets import PRINT, SHIPPED_NAMES, Alphabets, Used, alphabet_in
from trainer.teaching.counts import Count, Counts, Day, Lately, Sight
from trainer.teaching.gathering import AGAIN, Gathering, by_pupil
from trainer.teaching.group_assignment import Need
from trainer.teaching.lesson import LADDER, Advice, Offer
from trainer.teaching.letter_sets import (
    NAME_LETTERS,
    by_set,
    name_letters,
    planned_letters,
    taught_to_all,
    teaching_order,
)
from trainer.teaching.own_letters import copy_letters, copy_shipped
from trainer.teaching.rules import LONGEST, SHORTEST, STAGES, USUAL, VOLUMES, ReadableSettings, Rules
from trainer.teaching.summary import FindingFigures, LetterFigures, Summary, Week, summed_up, trend
from trainer.teaching.tries import ENOUGH, LATELY, is_try
from trainer.teaching.word_figures import WordFigures, figures_of_words

__all__ = [
    "AGAIN",
    "ENOUGH",
    "LADDER",
    "LATELY",
    "LONGEST",
    "NAME_LETTERS",
    "PRINT",
    "SHIPPED_NAMES",
    "SHORTEST",
    "STAGES",
    "USUAL",
    "VOLUMES",
    "Advice",
    "Alphabets",
    "Count",
    "Counts",
    "Day",
    "FindingFigures",
    "Gathering",
    "Lately",
    "LetterFigures",
    "Need",
    "Offer",
    "ReadableSettings",
    "Rules",
    "Sight",
    "Summary",
    "Used",
    "Week",
    "WordFigures",
    "alphabet_in",
    "alphabets",
    "by_pupil",
    "by_set",
    "copy_letters",
    "copy_shipped",
    "figures_of_words",
    "is_try",
    "lesson",
    "letter_drafts",
    "letter_history",
    "letter_saving",
    "name_letters",
    "own_alphabets",
    "own_letters",
    "planned_letters",
    "summed_up",
    "taught_to_all",
    "teaching_order",
    "trend",
    "tries",
    "word_lesson",
]
