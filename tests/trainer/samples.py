"""Ink, verdicts and attempts of known content for the tests of the record and the summary."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta

import numpy as np

from strokes.ink import Ink
from strokes.kinds import NOT_FORMED, NOT_RIGHT, Kind
from strokes.report import Finding
from trainer.attempt import Attempt, Step, Verdict

MONDAY = datetime(2026, 9, 7, 11, 30, tzinfo=UTC)
"""At this hour it is the same day nearly everywhere, so that tests may name days."""


def ink(seed: int = 0, traces: int = 1, points: int = 40) -> Ink:
    """Wandering lines with times at 60 points a second."""
    random = np.random.default_rng(seed)
    lines = [np.cumsum(random.normal(0, 0.02, (points, 2)), axis=0) for _ in range(traces)]
    times = [np.arange(points) / 60 + place * (points / 60 + 0.3) for place in range(traces)]
    return Ink.from_arrays(lines, times=times)


def verdict(
    *kinds: Kind, notes: tuple[Kind, ...] = (), letter: str | None = None, mended: bool = False
) -> Verdict:
    """A verdict with one finding of each kind, and notes; `mended` counts where it is not well formed."""
    findings = [Finding(kind, 0.5, 0.35, letter=letter if kind is Kind.LETTER else None) for kind in kinds]
    findings += [Finding(kind, 0.5, 0.35, note=True) for kind in notes]
    formed, looks = NOT_FORMED.isdisjoint(kinds), NOT_RIGHT.isdisjoint(kinds)
    return Verdict("taught", formed, looks, tuple(findings), mended and not formed)


def attempt(
    pupil: int,
    letter: str,
    *kinds: Kind,
    step: Step = Step.COPY,
    day: int = 0,
    written: Ink | None = None,
    notes: tuple[Kind, ...] = (),
    instead: str | None = None,
    mended: bool = False,
) -> Attempt:
    """A finished attempt `day` days after the first Monday, with a finding of each kind."""
    judged = verdict(*kinds, notes=notes, letter=instead, mended=mended)
    return Attempt(None, pupil, letter, step, MONDAY + timedelta(days=day), written or ink(), judged)
