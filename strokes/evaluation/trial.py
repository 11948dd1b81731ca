"""One sample put to the checks: what they say of it untouched, damaged, changed, and by the other hand."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from strokes.alphabet import Alphabet
from strokes.checks import check
from strokes.evaluation.accepted import acceptable, refusal
from strokes.evaluation.damage import FEW, RINGS, Damaged, Other, faults
from strokes.evaluation.labelled import Sample
from strokes.evaluation.observed import observe
from strokes.evaluation.sensitivity import CHANGES, ChangeInput
from strokes.evaluation.trace_shape import Traces, x_height
from strokes.ink import Ink
from strokes.kinds import Kind
from strokes.letter import Hand, Letter
from strokes.recognition import identify
from strokes.report import Finding, Report


@dataclass(frozen=True)
class ComparedObservation:
    """One observation of the ink, and whether the verdict agrees with it."""

    kind: Kind
    wrong: bool
    agrees: bool
    skipped: str = ""


@dataclass(frozen=True)
class FaultOutcome:
    """What the check finds of one fault: whether a finding of a right kind reports it, and anything does.

    `silent_before` says that a kind that reports it was not found in the undamaged ink.
    """

    fault: str
    reported: bool = False
    silent_before: bool = False
    anything_found: bool = False
    kinds: tuple[Kind, ...] = ()
    counted: bool = True
    skipped: str = ""


@dataclass(frozen=True)
class OtherHand:
    """Ink as left-handers often write it: whether either hand finds nothing but notes, and right anything."""

    habit: str
    left_accepted: bool
    right_accepted: bool
    right_reported: bool


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
    observations: tuple[ComparedObservation, ...] = ()
    faults: tuple[FaultOutcome, ...] = ()
    hands: tuple[OtherHand, ...] = ()
    flips: tuple[Flip, ...] = ()


def judge(
    sample: Sample,
    alphabet: Alphabet,
    other: Other | None,
    *,
    among: Alphabet | None = None,
    deep: bool = False,
    every_fault: bool = True,
) -> Trial:
    """Everything about one sample; with `deep` what is not counted, the changes and the other hand, too.

    It is judged by its letter of `alphabet`, and identified among those of `among`. Accepted ink is damaged
    in every way; or in one, the samples taking turns, and in those that few letters can have.
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
        identify(ink, alphabet if among is None else among)[0].letter.name,
        tuple(
            ComparedObservation(
                observation.kind,
                observation.wrong,
                not observation.skipped and observation.agrees(report.findings),
                observation.skipped,
            )
            for observation in observe(sample.letter, sample.traces)
        ),
        tuple(
            _outcome(damaged, ink, letter, report)
            for damaged in _damages(sample, other, deep=deep, every_fault=every_fault)
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
        return [damaged for damaged in every if damaged.counted or deep]
    skipped = [damaged for damaged in every if damaged.skipped and damaged.counted]
    applied = [damaged for damaged in every if not damaged.skipped and damaged.counted]
    few = [damaged for damaged in applied if damaged.fault in FEW]
    many = [damaged for damaged in applied if damaged.fault not in FEW]
    return [*skipped, *few, *many[sample.number % max(1, len(many)) :][:1]]


def _outcome(damaged: Damaged, ink: Ink, letter: Letter, untouched: Report) -> FaultOutcome:
    if damaged.skipped:
        return FaultOutcome(damaged.fault, skipped=damaged.skipped)
    after = check(Ink.from_arrays(damaged.traces), letter, guide=damaged.guide)
    reported = damaged.reported(after.findings)
    before = check(ink, letter, guide=damaged.guide) if reported and damaged.guide else untouched
    return FaultOutcome(
        damaged.fault,
        bool(reported),
        not reported or not reported <= damaged.reported(before.findings),
        not after.formed or not after.looks_right,
        tuple(sorted(after.kinds)),
        damaged.counted,
    )


def _hands(sample: Sample, letter: Letter) -> Sequence[OtherHand]:
    """What left-handers often do: t and f barred from the right, rings clockwise, x slash first."""
    traces = sample.traces
    habit, ink = "", traces
    if sample.letter in "tf" and len(traces) == 2:
        habit, ink = f"{sample.letter}: bar right to left", (traces[0], traces[1][::-1])
    elif sample.letter in RINGS:
        habit, ink = f"{sample.letter}: clockwise", (traces[0][::-1],)
    elif sample.letter == "x" and traces[0][-1, 0] > traces[0][0, 0]:
        habit, ink = "x: slash first", traces[::-1]
    if not habit:
        return ()
    left, right = (_findings(ink, letter, hand) for hand in ("left", "right"))
    return (
        OtherHand(
            habit,
            all(finding.note for finding in left),
            all(finding.note for finding in right),
            bool(right),
        ),
    )


def _findings(traces: Traces, letter: Letter, hand: Hand) -> list[Finding]:
    """The findings of direction, order and start, notes too."""
    report = check(Ink.from_arrays(traces), letter, hand=hand)
    return [
        finding for finding in report.findings if finding.kind in (Kind.DIRECTION, Kind.ORDER, Kind.START)
    ]


def _flips(sample: Sample, letter: Letter) -> list[Flip]:
    unit = x_height(sample.letter, sample.traces)
    given = ChangeInput(sample, unit, np.random.default_rng(sample.number))
    changed = [(sensitivity.name, sensitivity.change(given)) for sensitivity in CHANGES]
    return [
        Flip(name, not check(Ink.from_arrays(traces), letter).formed, acceptable(sample.letter, traces))
        for name, traces in changed
    ]
