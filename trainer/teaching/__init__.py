"""Attempts in, decisions out, no database: lessons, rules, summaries, groups, alphabets."""

from trainer.teaching import alphabets, lesson, own_letters, tries
from trainer.teaching.alphabets import PRINT, Alphabets, Used, alphabet_in
from trainer.teaching.counts import Count, Counts, Day, Lately, Sight
from trainer.teaching.gathering import AGAIN, Gathering
from trainer.teaching.lesson import LADDER, Advice, Offer
from trainer.teaching.own_letters import copy_letters, copy_shipped
from trainer.teaching.rules import LONGEST, SHORTEST, STAGES, USUAL, ReadableSettings, Rules
from trainer.teaching.summary import Line, Seen, Summary, Week, summed_up, trend
from trainer.teaching.tries import ENOUGH, LATELY, is_try

__all__ = [
    "AGAIN",
    "ENOUGH",
    "LADDER",
    "LATELY",
    "LONGEST",
    "PRINT",
    "SHORTEST",
    "STAGES",
    "USUAL",
    "Advice",
    "Alphabets",
    "Count",
    "Counts",
    "Day",
    "Gathering",
    "Lately",
    "Line",
    "Offer",
    "ReadableSettings",
    "Rules",
    "Seen",
    "Sight",
    "Summary",
    "Used",
    "Week",
    "alphabet_in",
    "alphabets",
    "copy_letters",
    "copy_shipped",
    "is_try",
    "lesson",
    "own_letters",
    "summed_up",
    "trend",
    "tries",
]
