"""Measure, then judge: amounts are there whether or not they are past a limit, and judging only compares."""

from __future__ import annotations

import pytest

from strokes import Ink, InkError, Kind, Tolerances, check
from strokes.checks import Measure, measure
from strokes.checks.measures import judged
from strokes.simulation import Fault, write
from tests.cases import for_each
from tests.shipped import PRINT as ALPHABET


@for_each("name", "abehiklmotx")
def test_steady_ink_is_measured_and_is_within_every_limit(name: str) -> None:
    measures = measure(write(ALPHABET[name], seed=1), ALPHABET[name], guide=ALPHABET.guide)

    assert {"shape", "outside", "size_small", "size_large", "place"} <= {
        measure.tolerance for measure in measures
    }
    assert judged(measures, Tolerances()) == []


@pytest.mark.parametrize(
    ("name", "kind"),
    [
        ("c", Kind.START),
        ("l", Kind.DIRECTION),
        ("t", Kind.ORDER),
        ("o", Kind.CLOSURE),
        ("k", Kind.SHAPE),
        ("e", Kind.REVERSAL),
        ("n", Kind.EXTRA),
    ],
)
def test_what_a_check_finds_is_a_measure_past_its_limit(name: str, kind: Kind) -> None:
    letter, ink = ALPHABET[name], write(ALPHABET[name], fault=Fault(kind), seed=1)
    findings = [finding for finding in check(ink, letter).findings if finding.kind is kind]

    assert findings
    assert all(
        finding in judged(measure(ink, letter), Tolerances()) for finding in findings if not finding.note
    )


def test_a_least_amount_must_be_reached_and_another_not_exceeded() -> None:
    small = Measure(kind=Kind.SIZE, tolerance="size_small", amount=0.7, least=True)
    large = Measure(kind=Kind.SIZE, tolerance="size_large", amount=0.7)
    floating = Measure(kind=Kind.PLACE, tolerance="place", amount=-0.3)

    assert judged([small, large], Tolerances(size_small=0.7, size_large=0.7)) == []
    assert [
        finding.limit for finding in judged([small, large], Tolerances(size_small=0.8, size_large=0.6))
    ] == [*(0.8, 0.6)]
    assert judged([floating], Tolerances(place=0.25))[0].amount == -0.3


def test_no_ink_is_refused_as_by_check() -> None:
    with pytest.raises(InkError, match="at least one trace"):
        measure(Ink(), ALPHABET["a"])
