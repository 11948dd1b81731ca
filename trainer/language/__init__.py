"""Reports in a child's and in a teacher's words, and the texts themselves.

In come verdicts, findings and counts; out come sentences. The library gives numbers, this room words:
every text that people read is in `assets/texts/<language>`, so that it can be translated, and is asked for
by its key.
"""

from trainer.language import phrases, spoken
from trainer.language.phrases import Saying
from trainer.language.texts import LANGUAGE, text
from trainer.language.wording import (
    capital,
    card_words,
    chunks_known,
    clock_words,
    day_words,
    finding_words,
    kind_name,
    letter_words,
    listed,
    observed_words,
    on_one_line,
    paper_words,
    seen_words,
    sentence,
    size_words,
    sound_words,
    sounds_counted,
    teaching_words,
    word_kind_name,
)

__all__ = [
    "LANGUAGE",
    "Saying",
    "capital",
    "card_words",
    "chunks_known",
    "clock_words",
    "day_words",
    "finding_words",
    "kind_name",
    "letter_words",
    "listed",
    "observed_words",
    "on_one_line",
    "paper_words",
    "phrases",
    "seen_words",
    "sentence",
    "size_words",
    "sound_words",
    "sounds_counted",
    "spoken",
    "teaching_words",
    "text",
    "word_kind_name",
]
