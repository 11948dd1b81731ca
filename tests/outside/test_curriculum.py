"""Which check answers for which handwriting statement of England's national curriculum, with proof.

Source: Department for Education (2013), The national curriculum in England: framework document, English
programme of study, Year 1 and Year 2, "Handwriting"; the statements are told here in our own words. A
statement without a check stands in the table too, with the reason.
"""

from __future__ import annotations

from dataclasses import dataclass

import pytest

from strokes import Alphabet, Kind, check
from strokes.simulation.hand import Fault, write
from tests.cases import for_each
from tests.shipped import PRINT


@dataclass(frozen=True)
class Proof:
    """A letter written with one fault, and the kind of finding that must come of it."""

    letter: str
    fault: Fault

    def __str__(self) -> str:
        return f"{self.letter}-{self.fault.kind}-{self.fault.stroke}"


CHECKED: dict[str, tuple[Proof, ...]] = {
    "Year 1: form lower-case letters in the correct direction": (
        Proof("l", Fault(Kind.DIRECTION)),
        Proof("o", Fault(Kind.DIRECTION)),
        Proof("b", Fault(Kind.DIRECTION, part=0)),
        Proof("t", Fault(Kind.ORDER)),
    ),
    "Year 1: start them in the right place": (
        Proof("c", Fault(Kind.START)),
        Proof("h", Fault(Kind.START)),
    ),
    "Year 1: finish them in the right place": (
        Proof("o", Fault(Kind.CLOSURE)),
        Proof("i", Fault(Kind.MISSING, stroke=1)),
    ),
    "Year 1: form capital letters": (
        Proof("A", Fault(Kind.MISSING, stroke=2)),
        Proof("B", Fault(Kind.ORDER)),
        Proof("C", Fault(Kind.START)),
        Proof("O", Fault(Kind.DIRECTION)),
        Proof("Q", Fault(Kind.MISSING, stroke=1)),
    ),
    "Year 1: form digits 0-9": (
        Proof("0", Fault(Kind.CLOSURE)),
        Proof("1", Fault(Kind.DIRECTION)),
        Proof("2", Fault(Kind.START)),
        Proof("5", Fault(Kind.MISSING, stroke=1)),
        Proof("6", Fault(Kind.DIRECTION)),
    ),
    "Year 2: form lower-case letters of the correct size relative to one another": (
        Proof("n", Fault(Kind.SIZE)),
        Proof("o", Fault(Kind.SIZE, amount=1.7)),
        Proof("a", Fault(Kind.PLACE)),
    ),
    "Year 2: capitals and digits of the correct size, orientation and relation": (
        Proof("N", Fault(Kind.REVERSAL)),
        Proof("J", Fault(Kind.REVERSAL)),
        Proof("3", Fault(Kind.REVERSAL)),
        Proof("7", Fault(Kind.REVERSAL)),
        Proof("O", Fault(Kind.SIZE)),
        Proof("T", Fault(Kind.SIZE, amount=1.5)),
        Proof("4", Fault(Kind.SIZE)),
        Proof("R", Fault(Kind.PLACE)),
    ),
    "Year 2, note: letters are secure with the correct orientation before they are joined": (
        Proof("s", Fault(Kind.REVERSAL)),
        Proof("j", Fault(Kind.REVERSAL)),
    ),
}

UNCHECKED = {
    "Year 1: sit correctly, hold the pencil comfortably and correctly": "not in the ink: README.md",
    "Year 1: know which letters belong to which families": "knowledge; the alphabet tells them",
    "Year 2: start using some of the strokes needed to join letters": "the shipped alphabet is unjoined",
    "Year 2: spacing between words that reflects the size of the letters": "letters are written one by one",
}

BEYOND = {Kind.LETTER, Kind.EXTRA, Kind.LIFT, Kind.JOIN, Kind.SHAPE}
"""Kinds of finding that no single statement asks for; they tell more exactly what happened."""

PROOFS = [(statement, proof) for statement, proofs in CHECKED.items() for proof in proofs]


@pytest.fixture(scope="module")
def alphabet() -> Alphabet:
    return PRINT


@for_each(("statement", "proof"), PROOFS, ids=str)
def test_ink_that_breaks_a_statement_is_found(alphabet: Alphabet, statement: str, proof: Proof) -> None:
    letter = alphabet[proof.letter]

    report = check(write(letter, fault=proof.fault), letter, guide=alphabet.guide)

    assert proof.fault.kind in report.kinds, f"{statement}: {report.findings}"


@for_each("name", sorted({proof.letter for _, proof in PROOFS}))
def test_the_same_letters_by_a_steady_hand_keep_every_statement(alphabet: Alphabet, name: str) -> None:
    letter = alphabet[name]

    assert check(write(letter), letter, guide=alphabet.guide).findings == ()


def test_every_kind_of_finding_answers_for_a_statement_or_is_beyond_them() -> None:
    answered = {proof.fault.kind for _, proof in PROOFS}

    assert answered | BEYOND == set(Kind)
    assert not answered & BEYOND


def test_every_letter_belongs_to_one_family(alphabet: Alphabet) -> None:
    """Year 1: families of letters that are formed in similar ways."""
    members = [letter for family in alphabet.families for letter in family.letters]

    assert sorted(members) == list(alphabet)


def test_no_statement_is_both_checked_and_not() -> None:
    assert not set(CHECKED) & set(UNCHECKED)
    assert len(CHECKED) + len(UNCHECKED) == 12
