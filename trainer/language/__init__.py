"""Reports in a child's and in a teacher's words, and the texts themselves."""

from trainer.language import phrases
from trainer.language.phrases import Saying
from trainer.language.texts import text
from trainer.language.wording import day_words, finding_words, kind_name, listed, seen_words, teaching_words

__all__ = [
    "Saying",
    "day_words",
    "finding_words",
    "kind_name",
    "listed",
    "phrases",
    "seen_words",
    "teaching_words",
    "text",
]
