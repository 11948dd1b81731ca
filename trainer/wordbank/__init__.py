"""Words as children spell them by ear: their sounds and the letters for each; no record, voice or text.

In come files of words (`assets/words`), what a teacher typed, and what a group was taught. Out come words
with their sound boxes, and what can be offered: those that can be written, rhymes, odd ones out, chains.

A box holds one sound and the letters for it: a digraph shares a box, a silent e stands outside, x, qu and le
have two sounds in one box. Boxes are our own; that they sound as the words do in General American is tested
against the CMU Pronouncing Dictionary, which has no boxes.
"""

from trainer.wordbank import by_sound
from trainer.wordbank.bank import BLENDS, EXCEPTIONS, SYLLABLES, Taught, WordBank
from trainer.wordbank.files import WordList, read_words, shipped_words
from trainer.wordbank.graphemes import LETTERS, Correspondence, Graphemes, Sounds
from trainer.wordbank.guessing import guess
from trainer.wordbank.phonemes import PHONEMES, Manner, Phoneme
from trainer.wordbank.school import (
    LONGEST_LINE,
    SchoolWords,
    TypedLine,
    markable,
    names_offered,
    read_lines,
    school_words,
    taught,
)
from trainer.wordbank.word import Box, Word, name_word, notation, spelled

__all__ = [
    "BLENDS",
    "EXCEPTIONS",
    "LETTERS",
    "LONGEST_LINE",
    "PHONEMES",
    "SYLLABLES",
    "Box",
    "Correspondence",
    "Graphemes",
    "Manner",
    "Phoneme",
    "SchoolWords",
    "Sounds",
    "Taught",
    "TypedLine",
    "Word",
    "WordBank",
    "WordList",
    "by_sound",
    "guess",
    "markable",
    "name_word",
    "names_offered",
    "notation",
    "read_lines",
    "read_words",
    "school_words",
    "shipped_words",
    "spelled",
    "taught",
]
