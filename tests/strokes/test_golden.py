"""Golden verdicts: what the checks find today in simulated ink of all letters, with guide lines and without.

`golden.json` beside this file holds for each ink its findings: kind, amount, limit, stroke, trace, letter
and whether it is a note. It guards changes that must not change a verdict. Rewrite it only in a commit that
means to change verdicts, which also raises `VERSION` or changes a tolerance, a weight or a letter, and look
at every line of the difference first:

    python -m tests.strokes.test_golden
"""

from __future__ import annotations

import json
from collections.abc import Iterator
from functools import cache
from pathlib import Path
from string import ascii_letters, ascii_lowercase, digits
from typing import TypeAlias

import pytest

from strokes import Ink, Kind, Letter, LetterError, Report, check
from strokes.simulation import Fault, write
from tests.shipped import PRINT as ALPHABET

FILE = Path(__file__).with_name("golden.json")
STEADY_SEED, FAULTY_SEED = 3, 4
"""That nothing is found in two more steady inks of each letter is seen in `test_checks.py`."""

Row: TypeAlias = list[object]
Verdicts: TypeAlias = dict[str, list[Row]]


def inks(letter: Letter) -> Iterator[tuple[str, Ink]]:
    """What a steady hand writes, and one with each fault that a small letter can have, with a name each."""
    if letter.set != "small":
        yield from few_inks(letter)
        return
    yield f"steady {STEADY_SEED}", write(letter, seed=STEADY_SEED)
    other = ALPHABET[ascii_lowercase[ascii_lowercase.index(letter.name) - 1]]
    last = len(letter.taught.strokes) - 1
    faults = [Fault(kind, stroke, other=other) for kind in Kind for stroke in sorted({0, last})]
    for fault in [*faults, Fault(Kind.DIRECTION, 0, part=0)]:
        try:
            ink = write(letter, fault=fault, seed=FAULTY_SEED)
        except LetterError:  # this letter cannot have it
            continue
        yield f"{fault.kind} {fault.stroke}{'' if fault.part is None else f' part {fault.part}'}", ink


def few_inks(letter: Letter) -> Iterator[tuple[str, Ink]]:
    """A capital or digit in three faults: the checks are those of the small letters."""
    for kind in (Kind.REVERSAL, Kind.START, Kind.DIRECTION):
        yield f"{kind} 0", write(letter, fault=Fault(kind, 0), seed=FAULTY_SEED)


def rows(report: Report) -> list[Row]:
    return [
        [
            finding.kind.value,
            round(finding.amount, 4),
            round(finding.limit, 4),
            finding.stroke,
            finding.trace,
            finding.letter,
            finding.note,
        ]
        for finding in report.findings
    ]


@cache
def golden() -> Verdicts:
    verdicts: Verdicts = json.loads(FILE.read_text(encoding="utf-8"))
    return verdicts


def verdicts(name: str) -> Verdicts:
    letter = ALPHABET[name]
    return {
        f"{name} {what}, {between}": rows(check(ink, letter, guide=guide))
        for what, ink in inks(letter)
        for between, guide in (("lines", ALPHABET.guide), ("no lines", None))
    }


@pytest.mark.parametrize("name", ascii_letters + digits)
def test_simulated_ink_gets_the_verdicts_it_got_before(name: str) -> None:
    """Amounts may differ in the fourth digit, as processors add up in different orders."""
    before = golden()

    today = verdicts(name)

    assert today.keys() == {case for case in before if case.startswith(f"{name} ")}
    for case, findings in today.items():
        assert [(kind, *rest) for kind, _, *rest in findings] == [
            (kind, *rest) for kind, _, *rest in before[case]
        ], case
        assert [row[1] for row in findings] == pytest.approx([row[1] for row in before[case]], abs=1e-3), case


def test_the_golden_verdicts_hold_every_kind_of_finding() -> None:
    """A kind that no ink brings would not be guarded."""
    before = golden()

    assert {row[0] for findings in before.values() for row in findings} == {kind.value for kind in Kind}


if __name__ == "__main__":
    every = [line for name in ascii_letters + digits for line in verdicts(name).items()]
    lines = ",\n".join(f"{json.dumps(case)}: {json.dumps(findings)}" for case, findings in every)
    FILE.write_text(f"{{\n{lines}\n}}\n", encoding="utf-8")
