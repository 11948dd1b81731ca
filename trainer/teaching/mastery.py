"""Mastery of a letter: from counts to one of five levels; a class's letters too.

A level is a way to read a table at a glance. The counts are shown beside it everywhere.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from enum import StrEnum
from typing import NamedTuple

from trainer.teaching.summary import LetterFigures, Summary
from trainer.teaching.tries import ENOUGH

MOSTLY, PARTLY = 0.8, 0.5
"""From these shares on, 4 of 5 and half, a letter is mostly or partly done well: ours, not a norm."""


class Level(StrEnum):
    """How often a letter was done well, in the order of a legend."""

    MOSTLY = "mostly"
    PARTLY = "partly"
    SELDOM = "seldom"
    FEW = "few"
    NONE = "none"


def level(good: int, tries: int) -> Level:
    """The level of so many good ones in so many tries; under three tries nothing is concluded."""
    if tries == 0:
        return Level.NONE
    if tries < ENOUGH:
        return Level.FEW
    if good >= MOSTLY * tries:
        return Level.MOSTLY
    return Level.PARTLY if good >= PARTLY * tries else Level.SELDOM


@dataclass(frozen=True)
class ClassLetter:
    """A letter in a class of `pupils`: with how many it is secure of late, of how many who tried it enough.

    `few` counts the pupils who tried it, and too seldom to say anything.
    """

    letter: str
    pupils: int
    secure: int
    enough: int
    few: int

    @property
    def level(self) -> Level:
        """With how many it is secure, as a level; nothing is concluded from fewer than three pupils.

        In a group of one or two, it is concluded from all of them.
        """
        if self.enough + self.few == 0:
            return Level.NONE
        if self.enough < min(ENOUGH, self.pupils):
            return Level.FEW
        if self.secure >= MOSTLY * self.enough:
            return Level.MOSTLY
        return Level.PARTLY if self.secure >= PARTLY * self.enough else Level.SELDOM


def class_letters(summary: Summary, order: Sequence[str]) -> tuple[ClassLetter, ...]:
    """The letters in `order`, each with its mastery among the pupils of a summary."""
    figures = [by_letter(lines) for lines in summary.by_pupil.values()]
    return tuple(
        _class_letter(letter, len(figures), [own[letter] for own in figures if letter in own])
        for letter in order
    )


def _class_letter(letter: str, pupils: int, lines: Sequence[LetterFigures]) -> ClassLetter:
    enough = [line for line in lines if line.enough]
    return ClassLetter(
        letter,
        pupils,
        secure=sum(level(line.lately_formed, line.lately) is Level.MOSTLY for line in enough),
        enough=len(enough),
        few=sum(0 < line.tries < ENOUGH for line in lines),
    )


class SortedLetters(NamedTuple):
    """The letters of one pupil: secure of late, being learned, and with too few tries to say either."""

    secure: tuple[str, ...]
    learning: tuple[str, ...]
    few: tuple[str, ...]


def sorted_letters(lines: Sequence[LetterFigures]) -> SortedLetters:
    """The letters of one pupil by how they stand, each list in the order of the lines."""
    lists: dict[Level, list[str]] = defaultdict(list)
    for line in lines:
        lists[level(line.lately_formed, line.lately) if line.enough else Level.FEW].append(line.letter)
    learning = {*lists[Level.PARTLY], *lists[Level.SELDOM]}
    return SortedLetters(
        tuple(lists[Level.MOSTLY]),
        tuple(line.letter for line in lines if line.letter in learning),
        (*lists[Level.FEW], *lists[Level.NONE]),
    )


def by_letter(lines: Sequence[LetterFigures]) -> Mapping[str, LetterFigures]:
    """The lines of one pupil or of a class by their letter."""
    return {line.letter: line for line in lines}
