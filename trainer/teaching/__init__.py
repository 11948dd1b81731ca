"""Attempts in, decisions out, no database: offers, lessons, rules, summaries, groups, alphabets.

In come attempts and counts as plain types; out come what to practice next and with how much help, the
summary of a class, whom to gather for which letter, and which alphabet a group uses. A teacher's own letters
are kept here too: drafts as she writes them, their trial, saving them, and the versions before.

An attempt has three outcomes: well formed at the first try, mended after a stroke was shown again, not
yet. They are counted apart; figures, levels, groups and steps go by the first try. A teacher who overrules
answers yes or no for the whole attempt, and her answer counts. Groups are an exact answer to a small
question: at most four groups of two to six, a pupil in one of them, the most need covered, another letter
and movement before look (an integer program, checked against brute force). Needs that are not about one
movement (`other_needs`) stand beside them. What became secure when (`over_time`) goes by the last tries too.
"""

from trainer.teaching import alphabets, letter_offers, tries
from trainer.teaching.alphabets import PRINT, SHIPPED_NAMES, Alphabets, Used, alphabet_in
from trainer.teaching.counts import Count, Counts, Day, Lately, Sight, Steadiness, Written
from trainer.teaching.gathering import FamiliesOf, Gathering, by_pupil, no_families
from trainer.teaching.group_assignment import Need, load_solver
from trainer.teaching.letter_offers import LADDER, Advice, Offer
from trainer.teaching.letter_sets import (
    NAME_LETTERS,
    by_set,
    name_letters,
    planned_letters,
    taught_to_all,
    teaching_order,
    typed_letters,
)
from trainer.teaching.mastery import (
    ClassLetter,
    Level,
    SortedLetters,
    by_letter,
    class_letters,
    level,
    sorted_letters,
)
from trainer.teaching.observed import Observed, observed
from trainer.teaching.other_needs import LAST_INK, OtherKind, OtherNeed
from trainer.teaching.over_time import (
    LONGEST_CHART,
    TERM,
    LetterOverTime,
    OverTime,
    Period,
    PeriodTries,
    letters_over_time,
    periods,
)
from trainer.teaching.own_letters import copy_letters, copy_shipped
from trainer.teaching.rules import LONGEST, SHORTEST, STAGES, USUAL, VOLUMES, ReadableSettings, Rules
from trainer.teaching.summary import FindingFigures, LetterFigures, Summary, Week, monday, summed_up, trend
from trainer.teaching.tries import AGAIN, ENOUGH, LATELY, is_try

__all__ = [
    "AGAIN",
    "ENOUGH",
    "LADDER",
    "LAST_INK",
    "LATELY",
    "LONGEST",
    "LONGEST_CHART",
    "NAME_LETTERS",
    "PRINT",
    "SHIPPED_NAMES",
    "SHORTEST",
    "STAGES",
    "TERM",
    "USUAL",
    "VOLUMES",
    "Advice",
    "Alphabets",
    "ClassLetter",
    "Count",
    "Counts",
    "Day",
    "FamiliesOf",
    "FindingFigures",
    "Gathering",
    "Lately",
    "LetterFigures",
    "LetterOverTime",
    "Level",
    "Need",
    "Observed",
    "Offer",
    "OtherKind",
    "OtherNeed",
    "OverTime",
    "Period",
    "PeriodTries",
    "ReadableSettings",
    "Rules",
    "Sight",
    "SortedLetters",
    "Steadiness",
    "Summary",
    "Used",
    "Week",
    "Written",
    "alphabet_in",
    "alphabets",
    "by_letter",
    "by_pupil",
    "by_set",
    "class_letters",
    "copy_letters",
    "copy_shipped",
    "group_lesson",
    "is_try",
    "lesson_planning",
    "letter_drafts",
    "letter_history",
    "letter_offers",
    "letter_saving",
    "letters_over_time",
    "level",
    "load_solver",
    "monday",
    "name_letters",
    "no_families",
    "observed",
    "other_needs",
    "own_alphabets",
    "own_letters",
    "periods",
    "planned_letters",
    "reasons",
    "sorted_letters",
    "summed_up",
    "taught_to_all",
    "teaching_order",
    "trend",
    "tries",
    "typed_letters",
    "word_figures",
    "word_offers",
]
