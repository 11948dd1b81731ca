"""A group's lesson on one page: its letters as they are taught, words, what to say, who sits together."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from strokes.alphabet import Alphabet
from trainer.attempt import Pupil
from trainer.drawing import Rect, theme
from trainer.language import day_words, listed, text
from trainer.paper.document import Document, Paper
from trainer.paper.flow import BODY, SMALL, Flow
from trainer.paper.pieces import Piece
from trainer.teaching import group_lesson, lesson_planning

MODEL, WIDEST = 42.0, 66.0
"""Height of a letter with its lines in mm, and its width at most."""

SIZES = (12.5, 11.5, BODY, 9.5, SMALL, 7.5, 6.5)
"""Points in which the words are tried, the largest first, until all find room: it is read standing."""

HEADED, BELOW = 12.0, 1.2
"""Mm of a heading with its room, and of the room below a paragraph."""


def lesson_page(
    lesson: group_lesson.Lesson, pupils: Sequence[Pupil], alphabet: Alphabet, paper: Paper
) -> Document:
    """The page; `pupils` are those of the group now. A lesson at all its limits is set in smaller words."""
    day = day_words(lesson.day, year=True)
    title = text("lesson.heading_on", group=lesson.group, day=day)
    document = Document(title, paper)
    flow = Flow(document)
    flow.page()
    flow.title(title)
    _letters(flow, lesson, alphabet)
    if lesson.words:
        flow.letters(lesson.words, alphabet, text("lesson.words"))
    sections = {
        text("lesson.parts", minutes=group_lesson.MINUTES): [*_parts(lesson)],
        text("lesson.tables"): [*lesson_planning.seats(lesson, pupils)],
    }
    every = [line for lines in sections.values() for line in lines]
    size = next((size for size in SIZES if _height(flow, every, size) <= flow.left_over), SIZES[-1])
    for heading, lines in sections.items():
        flow.heading(heading)
        for name, words in lines:
            flow.y = document.say(name, flow.left, flow.y, flow.width, size=size, bold=True)
            flow.words(words, size=size)
    flow.foot(text("lesson.foot", group=lesson.group, day=day))
    return document


def _height(flow: Flow, lines: Sequence[tuple[str, str]], size: float) -> float:
    """What these take, each with its name over it, and the two headings."""
    height = flow.document.height_of
    names = sum(height(name, flow.width, size=size, bold=True) for name, _ in lines)
    return 2 * HEADED + names + sum(height(words, flow.width, size=size) + BELOW for _, words in lines)


def _letters(flow: Flow, lesson: group_lesson.Lesson, alphabet: Alphabet) -> None:
    """The letters as they are taught, side by side; one that the alphabet has not got any more is told."""
    models = [Piece(letter, alphabet) for letter in lesson.letters if letter in alphabet]
    wide = min(WIDEST, flow.width / max(1, len(models)))
    for place, piece in enumerate(models):
        flow.model(piece, Rect(flow.left + place * wide, flow.y, wide, MODEL))
    flow.y += MODEL + 2 if models else 0
    if missing := [letter for letter in lesson.letters if letter not in alphabet]:
        flow.words(text("lesson.not_in_alphabet", letters=listed(missing)), color=theme.QUIET)


def _parts(lesson: group_lesson.Lesson) -> Iterator[tuple[str, str]]:
    for place, part in enumerate(lesson.parts, 1):
        name = text(f"lesson.part.{part.part}")
        yield text("lesson.part_line", place=place, part=name, minutes=part.minutes), part.say
