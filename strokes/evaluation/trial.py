"""One sample put to the checks: what they say of it untouched, damaged, changed, and by the other hand."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from strokes.alphabet import Alphabet
from strokes.checks import check
from strokes.evaluation.accepted.table import acceptable, refusal
from strokes.evaluation.damage import FEW, Damaged, Other, faults
from strokes.evaluation.labelled import Sample
from strokes.evaluation.observed import observe
from strokes.evaluation.sensitivity import CHANGES, Given
from strokes.evaluation.trace_shape import Traces, x_height
from strokes.ink import Ink
from strokes.kinds import Kind
from strokes.letter import Hand, Letter
from strokes.recognition import identify
from strokes.report import Finding, Report


@dataclass(frozen=True)
class Seen:
    """One observation beside the verdict."""

    kind: Kind
    wrong: bool
    agrees: bool
    skipped: str = ""


@dataclass(frozen=True)
class Told:
    """One fault: `told` by the right kind, `silent` about it before, `noticed` by any kind at all."""

    fault: str
    told: bool = False
    silent: bool = False
    noticed: bool = False
    kinds: tuple[Kind, ...] = ()
    counted: bool = True
    skipped: str = ""


@dataclass(frozen=True)
class OtherHand:
    """Ink as the left hand often writes it: whether it is let be with each hand, and told at all."""

    way: str
    left_free: bool
    right_free: bool
    right_told: bool


@dataclass(frozen=True)
class Flip:
    """One change of formed ink: whether the check now refuses it, and whether the table still accepts it."""

    change: str
    flipped: bool
    accepted: bool


@dataclass(frozen=True)
class Trial:
    """All that is counted of one sample. `refused` is why the table does not accept it; empty if it does."""

    number: int
    letter: str
    writer: str
    refused: str
    formed: bool
    kinds: tuple[Kind, ...]
    named: str
    seen: tuple[Seen, ...] = ()
    told: tuple[Told, ...] = ()
    hands: tuple[OtherHand, ...] = ()
    flips: tuple[Flip, ...] = ()


def judge(
    sample: Sample, alphabet: Alphabet, other: Other | None, *, deep: bool = False, every_fault: bool = True
) -> Trial:
    """Everything about one sample; with `deep` what is not counted, the changes and the other hand, too.

    Accepted ink is damaged in every way; or in one, the samples taking turns, and in those that few letters
    can have.
    """
    letter = alphabet[sample.letter]
    ink = sample.ink
    report = check(ink, letter)
    refused = refusal(sample.letter, sample.traces)
    accepted = not refused
    return Trial(
        sample.number,
        sample.letter,
        sample.writer,
        refused,
        report.formed,
        tuple(sorted(report.kinds)),
        identify(ink, alphabet)[0].letter.name,
        tuple(
            Seen(one.kind, one.wrong, not one.skipped and one.agrees(report.findings), one.skipped)
            for one in observe(sample.letter, sample.traces)
        ),
        tuple(
            _told(one, ink, letter, report)
            for one in _damages(sample, other, deep=deep, every_fault=every_fault)
        )
        if accepted
        else (),
        tuple(_hands(sample, letter)) if accepted and deep else (),
        tuple(_flips(sample, letter)) if accepted and deep and report.formed else (),
    )


def _damages(sample: Sample, other: Other | None, *, deep: bool, every_fault: bool) -> list[Damaged]:
    """The damages to try on accepted ink, and those that cannot be."""
    every = faults(sample.letter, sample.traces, other)
    if every_fault:
        return [one for one in every if one.counted or deep]
    skipped = [one for one in every if one.skipped and one.counted]
    able = [one for one in every if not one.skipped and one.counted]
    few = [one for one in able if one.fault in FEW]
    many = [one for one in able if one.fault not in FEW]
    return [*skipped, *few, *many[sample.number % max(1, len(many)) :][:1]]


def _told(damaged: Damaged, ink: Ink, letter: Letter, untouched: Report) -> Told:
    if damaged.skipped:
        return Told(damaged.fault, skipped=damaged.skipped)
    after = check(Ink.from_arrays(damaged.traces), letter, guide=damaged.guide)
    told = damaged.told(after.findings)
    before = check(ink, letter, guide=damaged.guide) if told and damaged.guide else untouched
    return Told(
        damaged.fault,
        told,
        not damaged.told(before.findings),
        not after.formed or not after.looks_right,
        tuple(sorted(after.kinds)),
        damaged.counted,
    )


def _hands(sample: Sample, letter: Letter) -> Sequence[OtherHand]:
    """What left-handers often do: t and f barred from the right, o clockwise, the other slant of x first."""
    traces = sample.traces
    way, ink = "", traces
    if sample.letter in "tf" and len(traces) == 2:
        way, ink = f"{sample.letter}: bar right to left", (traces[0], traces[1][::-1])
    elif sample.letter == "o":
        way, ink = "o: clockwise", (traces[0][::-1],)
    elif sample.letter == "x" and traces[0][-1, 0] > traces[0][0, 0]:
        way, ink = "x: slash first", traces[::-1]
    if not way:
        return ()
    left, right = (_findings(ink, letter, hand) for hand in ("left", "right"))
    return (
        OtherHand(
            way,
            not any(not one.note for one in left),
            not any(not one.note for one in right),
            bool(right),
        ),
    )


def _findings(traces: Traces, letter: Letter, hand: Hand) -> list[Finding]:
    """What is told of the way of writing: direction, order and start, notes too."""
    report = check(Ink.from_arrays(traces), letter, hand=hand)
    return [one for one in report.findings if one.kind in (Kind.DIRECTION, Kind.ORDER, Kind.START)]


def _flips(sample: Sample, letter: Letter) -> list[Flip]:
    unit = x_height(sample.letter, sample.traces)
    given = Given(sample, unit, np.random.default_rng(sample.number))
    changed = [(one.name, one.change(given)) for one in CHANGES]
    return [
        Flip(name, not check(Ink.from_arrays(traces), letter).formed, acceptable(sample.letter, traces))
        for name, traces in changed
    ]
