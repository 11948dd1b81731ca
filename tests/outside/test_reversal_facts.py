"""Reversal of capitals and digits: told of all that have a mirror image of their own, and of no other."""

from __future__ import annotations

from strokes import Kind, check
from strokes.simulation import Fault, write
from tests.cases import for_each
from tests.shipped import PRINT as ALPHABET


@for_each("name", "BCDEFGJKLNPQRSZ2345679")
def test_the_mirror_image_of_a_capital_or_digit_is_told_as_reversal(name: str) -> None:
    """J and 3 are reversed most (Fischer & Koch 2016; Treiman and others 2014, abstracts)."""
    letter = ALPHABET[name]
    ink = write(letter, fault=Fault(Kind.REVERSAL), seed=4)

    assert Kind.REVERSAL in check(ink, letter).kinds
    assert Kind.REVERSAL in check(ink, letter, guide=ALPHABET.guide).kinds


@for_each("name", "AHIMOTUVWX018")
def test_a_capital_or_digit_that_is_its_own_mirror_image_is_never_told_as_reversal(name: str) -> None:
    """Roughly, by its shape; the way the pen went is told by its direction: plain geometry."""
    letter = ALPHABET[name]
    for fault in (Fault(Kind.REVERSAL), Fault(Kind.DIRECTION), None):
        ink = write(letter, fault=fault, seed=4)
        assert Kind.REVERSAL not in check(ink, letter).kinds
