"""Random odd inks through every check, each also moved and scaled together with its guide lines.

Dots, repeated points, straight lines, walks, integers and pieces of letters, one to nine traces, sized from
a billionth to a billion; a few with numbers that no pen gives. Every figure must be finite, and the verdict
must not depend on where the ink stands and how large it is.
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import TypeAlias

import numpy as np

from strokes import GuideLines, Ink, Report, StrokesError, check, identify
from strokes.checks import measure
from strokes.checks.live import LiveTrace, follow
from strokes.letter import Letter
from strokes.polyline import Polyline
from tests.shipped import OF_SET
from tests.shipped import PRINT as ALPHABET

Verdict: TypeAlias = tuple[object, ...]

TRACES = (1, 1, 1, 2, 2, 3, 4, 6, 9)
POINTS = (1, 1, 2, 2, 3, 5, 20, 60)
NO_PEN = (1e300, -1e308, 5e-324, 1e-310, 1e15, -1e-15, 0.1, 10**400, float("inf"), float("nan"), -0.0)
"""Numbers that no pen gives, put in the place of one that it might give."""


def inks(random: np.random.Generator, count: int) -> Iterator[list[Polyline]]:
    """So many random inks, each a list of (n, 2) traces."""
    for _ in range(count):
        yield [_trace(random) for _ in range(random.choice(TRACES))]


def _trace(random: np.random.Generator) -> Polyline:
    n, size = int(random.choice(POINTS)), 10.0 ** random.integers(-9, 9)
    kinds = (
        lambda: random.normal(size=(n, 2)) * size,
        lambda: np.cumsum(random.normal(size=(n, 2)), axis=0) * size,
        lambda: np.repeat(random.normal(size=(1, 2)) * size, n, axis=0),
        lambda: np.column_stack([np.zeros(n), np.linspace(0, size, n)]),
        lambda: np.column_stack([np.linspace(0, size, n), np.zeros(n)]),
        lambda: random.integers(-3, 3, size=(n, 2)).astype(float),
        lambda: _piece(random, n) * size,
    )
    away = random.normal(size=2) * size * 10 if random.random() < 0.3 else 0.0
    return kinds[random.integers(len(kinds))]() + away


def _piece(random: np.random.Generator, n: int) -> Polyline:
    path = _letter(random).taught.strokes[0].path
    return path[:: max(1, len(path) // n)]


def _letter(random: np.random.Generator) -> Letter:
    return ALPHABET.letters[random.integers(len(ALPHABET.letters))]


def attack(random: np.random.Generator) -> str:
    """Judge one ink in every way; the name of the error that refused it, empty where none did.

    Raises AssertionError for a figure that is not finite and for a verdict that changes with the place.
    """
    traces = next(inks(random, 1))
    if random.random() < 0.1:
        return _unwritten(random, traces)
    letter, hand = _letter(random), (None, "left", "right")[random.integers(3)]
    every = np.vstack(traces)
    span = max(float(np.ptp(every, axis=0).max()), 1e-8 * float(np.abs(every).max()), 1e-12)
    lines = _lines(every, span * float(random.choice([0.3, 0.5, 1.0]))) if random.random() < 0.5 else None
    shift, scale = random.normal(size=2) * span * 10, 10.0 ** random.uniform(-3, 3)
    try:
        here = _judged(traces, letter, hand, lines)
        moved = [(trace + shift) * scale for trace in traces]
        there = _judged(moved, letter, hand, lines and _moved(lines, shift[1], scale))
    except StrokesError as error:
        return type(error).__name__
    assert here == there, f"{letter.name} at {shift}, {scale:g} times as large: {here} became {there}"
    return ""


def _unwritten(random: np.random.Generator, traces: list[Polyline]) -> str:
    """Ink, lines or times with a number that no pen gives: judged, or refused."""
    lists = [trace.tolist() for trace in traces]
    trace = lists[random.integers(len(lists))]
    trace[random.integers(len(trace))][random.integers(2)] = NO_PEN[random.integers(len(NO_PEN))]
    lines = {"ascender": -2.0, "x_height": -1.0, "baseline": 0.0, "descender": 1.0}
    if random.random() < 0.3:
        lines[str(random.choice(list(lines)))] = NO_PEN[random.integers(len(NO_PEN))]
    try:
        times = None
        if random.random() < 0.3:
            times = [
                np.sort(random.normal(size=len(trace)) * 10.0 ** random.integers(0, 300)) for trace in lists
            ]
        guide = GuideLines(**lines) if random.random() < 0.5 else None
        _figures(Ink.from_arrays(lists, times), _letter(random), None, guide)
    except StrokesError as error:
        return type(error).__name__
    return ""


def _lines(every: Polyline, unit: float) -> GuideLines | None:
    base = float(every[:, 1].max())
    return GuideLines(ascender=base - 2 * unit, x_height=base - unit, baseline=base, descender=base + unit)


def _moved(lines: GuideLines, down: float, scale: float) -> GuideLines:
    names = ("ascender", "x_height", "baseline", "descender")
    return GuideLines(**{name: (getattr(lines, name) + down) * scale for name in names})


def _judged(traces: list[Polyline], letter: Letter, hand: object, guide: GuideLines | None) -> Verdict:
    return _figures(Ink.from_arrays(traces), letter, hand, guide)


def _figures(ink: Ink, letter: Letter, hand: object, guide: GuideLines | None) -> Verdict:
    """What the checks say, without the amounts; each of these must be finite."""
    report = check(ink, letter, guide=guide, hand=hand)
    early = follow(LiveTrace(letter.taught, 0, guide=guide), ink.traces[-1].points)
    amounts = [amount for finding in report.findings for amount in (finding.amount, finding.limit)]
    amounts += [early.amount, early.limit] if early else []
    amounts += [measured.amount for measured in measure(ink, letter, guide=guide, hand=hand)]
    matches = identify(ink, OF_SET[letter.set])
    assert np.isfinite([*amounts, *(match.distance for match in matches)]).all(), report
    return (*_said(report), matches[0].letter.name)


def _said(report: Report) -> Verdict:
    findings = tuple(
        (finding.kind, finding.stroke, finding.trace, finding.letter, finding.note)
        for finding in report.findings
    )
    return report.formation.name, findings, report.assigned
