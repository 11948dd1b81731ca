"""How a letter was written: `check`, and `measure` for the amounts behind its findings.

Every accepted formation explains the ink as cheaply as it can (`matching`); the one under which least is to
be mended is the one the child is judged by. Each check measures, and what is past its tolerance is a finding
(`measures`): how the pen moved (`movement`, `starts`), and how the letter looks (`legibility`, `extent`,
`confusions`).
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from functools import lru_cache

import numpy as np

from strokes.checks import confusions, legibility
from strokes.checks.extent import baseline, extent
from strokes.checks.measures import Measure, judged
from strokes.checks.movement import movement
from strokes.checks.starts import starts, starts_by_lines
from strokes.checks.unfinished import second_copy, unfinished
from strokes.framing import framed
from strokes.ink import Ink
from strokes.kinds import Kind
from strokes.letter import Formation, GuideLines, Hand, Letter, Stroke
from strokes.matching import Aligned, Explanation, align, explain
from strokes.polyline import Polyline, bounds, corners, resample, tangents
from strokes.report import Finding, Report, in_teaching_order
from strokes.tolerances import Tolerances
from strokes.weights import WEIGHTS

_FINDING_COST = {
    Kind.START: WEIGHTS.start_finding_cost,
    Kind.DIRECTION: WEIGHTS.direction_finding_cost,
    Kind.ORDER: WEIGHTS.order_finding_cost,
    Kind.EXTRA: WEIGHTS.extra_finding_cost,
    Kind.LIFT: WEIGHTS.lift_finding_cost,
    Kind.JOIN: WEIGHTS.join_finding_cost,
}
_DIGITS = 9
"""Behind the point, of a cost: those after them depend on how the processor adds up, and decide nothing."""

_USUAL = Tolerances()
_NOT_WHOLE = frozenset(Kind) - {Kind.ORDER, Kind.DIRECTION, Kind.JOIN}
"""What may be found where the ink is not one whole letter."""


@dataclass(frozen=True, eq=False)
class _Candidate:
    """A formation that may have been written: how it explains the ink, and how the pen moved under it.

    `moved` are the findings on movement without those on starts, `starts` is where strokes were begun by the
    fit, and `begun` what was found of it; `strayed` are the findings on where the pen strayed.
    """

    explanation: Explanation
    aligned: list[Aligned]
    moved: list[Finding]
    starts: list[Measure]
    begun: list[Finding]
    strayed: list[Finding]
    cost: float

    def starts_by_lines(self, ink: Ink, guide: GuideLines, others: Sequence[Finding]) -> list[Measure]:
        """Where strokes were begun between lines; `others` are findings on movement."""
        return starts_by_lines(self.explanation, self.aligned, ink, self.starts, guide=guide, others=others)


def check(
    ink: Ink,
    letter: Letter,
    *,
    guide: GuideLines | None = None,
    hand: Hand | None = None,
    tolerances: Tolerances | None = None,
) -> Report:
    """What is to be seen in `ink`, an attempt at `letter`.

    With `guide`, the lines in the ink's own space, size and place are judged; without it the ink may have any
    scale and place and they are not. `hand` admits the formations that are for that hand only; None
    admits none of them. The same verdict comes of ink and lines that are moved or scaled together. Raises
    InkError for ink that cannot be judged (`framing`): none, too much, or too far away.
    """
    tolerances = tolerances or _USUAL
    frame = framed(ink, guide)
    report = _checked(frame.ink, letter, guide=frame.guide, hand=hand, tolerances=tolerances)
    if not report.findings:
        return report
    findings = tuple(replace(finding, at=frame.place(finding.at)) for finding in report.findings)
    return replace(report, findings=findings)


def _checked(
    ink: Ink, letter: Letter, *, guide: GuideLines | None, hand: Hand | None, tolerances: Tolerances
) -> Report:
    """What is to be seen in ink that is framed."""
    ink = _dotted(ink)
    candidates = _Candidates(ink, letter, hand, tolerances)
    best = candidates.best()
    formation = best.explanation.formation
    findings = list(best.moved)
    if formation.note is not None:
        taught = candidates.taught()
        findings += _noted(formation.note, [*taught.moved, *taught.begun])
    begun = best.begun
    if guide is not None:
        begun = judged(best.starts_by_lines(ink, guide, findings), tolerances)
    findings += begun
    findings += legibility.findings(
        ink, letter, best.explanation, best.aligned, best.strayed, guide, hand, tolerances
    )
    if guide is not None and any(finding.kind in _NOT_WHOLE and not finding.note for finding in findings):
        first = second_copy(ink, letter, guide=guide, hand=hand)
        if first is not None:
            report = _checked(Ink(ink.traces[:first]), letter, guide=guide, hand=hand, tolerances=tolerances)
            return _with_copy(report, first, len(ink))
        kinds = frozenset(finding.kind for finding in findings if not finding.note)
        cost = best.explanation.cost
        findings = (
            unfinished(ink, letter, guide=guide, hand=hand, tolerances=tolerances, cost=cost, kinds=kinds)
            or findings
        )
    return Report(letter.name, formation, in_teaching_order(findings), _assigned(best.explanation, len(ink)))


@dataclass(frozen=True)
class Lie:
    """How ink lies between lines, as one letter: the height of its body and of its top, and the base line.

    All in x-heights. `offset` is how far its own base line lies below the guide's: that of its feet, and for
    a letter that hangs below the line that of the fit. `top` is how far its highest stroke, dots left out,
    rises above its own base line, and `model_top` the same of the letter. `body` is
    `top` by the letter's own measure: 1 where it is as high as the letter. `ascends` tells that the letter
    has an ascender, or is a capital or a digit, and `low` that it ends at the x-height; a t does neither.
    """

    offset: float
    top: float
    model_top: float
    ascends: bool
    low: bool

    @property
    def body(self) -> float:
        """The height above the base line as a ratio to the letter's own."""
        return self.top / self.model_top


def lie(ink: Ink, letter: Letter, *, guide: GuideLines, hand: Hand | None = None) -> Lie:
    """How ink lies as this letter, by the formation that explains it best. Raises InkError as `check`."""
    frame = framed(ink, guide)
    assert frame.guide is not None
    dotted = _dotted(frame.ink)
    best = min(explain(dotted, letter.accepted(hand)), key=lambda explanation: explanation.cost)
    strokes = best.formation.strokes
    dots = {
        trace
        for pairing in best.pairings
        if all(strokes[k].is_dot for k in pairing.strokes)
        for trace in pairing.traces
    }
    written = [trace.points for number, trace in enumerate(dotted.traces) if number not in dots]
    _, top, _, bottom = Ink.from_arrays(written or [dotted.traces[0].points]).bounds
    _, model_top, _, model_bottom = _bounds_without_dots(best.formation)
    hangs = model_bottom > WEIGHTS.tall * frame.guide.below
    offset = baseline(best, frame.guide) if hangs else bottom - model_bottom
    above = frame.guide.above - 1
    rise = (-model_top - 1) / above
    return Lie(offset, offset - top, -model_top, rise > WEIGHTS.tall, rise < 1 - WEIGHTS.tall)


def _bounds_without_dots(formation: Formation) -> tuple[float, float, float, float]:
    """The box of a formation without its dots; of one of dots alone, its own."""
    paths = [stroke.path for stroke in formation.strokes if not stroke.is_dot]
    return bounds(np.vstack(paths)) if paths else formation.bounds


def measure(
    ink: Ink,
    letter: Letter,
    *,
    guide: GuideLines | None = None,
    hand: Hand | None = None,
    tolerances: Tolerances | None = None,
) -> list[Measure]:
    """All that `check` measures of ink, whether or not it is past its limit, for who tunes the tolerances.

    `tolerances` decide which formation the ink is measured by. What is one finding in a report may be several
    measures here, of which the worst decides. Raises InkError as `check` does.
    """
    tolerances = tolerances or _USUAL
    frame = framed(ink, guide)
    guide = frame.guide
    ink = _dotted(frame.ink)
    best = _Candidates(ink, letter, hand, tolerances).best()
    traces = [trace.points for trace in ink.traces]
    explanation, aligned = best.explanation, best.aligned
    measures = [
        *movement(explanation, aligned, traces, tolerances.tiny),
        *(best.starts if guide is None else best.starts_by_lines(ink, guide, best.moved)),
        *confusions.mirror_ratios(ink, letter, explanation, hand),
        *confusions.letter_ratios(ink, letter, explanation, guide, hand),
        *legibility.strays(explanation, aligned),
        *legibility.gaps(explanation, aligned),
    ]
    if aligned:
        measures.append(legibility.outside(explanation, aligned, tolerances.corridor))
    if guide is not None:
        measures += extent(ink, explanation, guide).measures
    return [replace(measured, at=frame.place(measured.at)) for measured in measures]


class _Candidates:
    """Each formation accepted of this hand, the taught one first, measured as far as one asks.

    What is to be mended only adds to what an explanation costs, so that one which alone costs more than
    another with all of that needs no measuring.
    """

    def __init__(self, ink: Ink, letter: Letter, hand: Hand | None, tolerances: Tolerances) -> None:
        self._tolerances = tolerances
        self._traces = [trace.points for trace in ink.traces]
        self._explanations = explain(ink, letter.accepted(hand))
        self._measured: dict[int, _Candidate] = {}

    def taught(self) -> _Candidate:
        """The taught formation."""
        self._measure([0])
        return self._measured[0]

    def best(self) -> _Candidate:
        """The formation under which least is to be mended, of equal ones the first."""
        costs = [explanation.cost for explanation in self._explanations]
        rising = sorted(range(len(costs)), key=costs.__getitem__)
        self._measure(rising[:1])
        most = self._measured[rising[0]].cost + 10.0**-_DIGITS
        self._measure([k for k in rising[1:] if costs[k] <= most])
        return self._measured[
            min(sorted(self._measured), key=lambda k: round(self._measured[k].cost, _DIGITS))
        ]

    def _measure(self, numbers: Sequence[int]) -> None:
        """Measure these, those that are measured left out; all are warped together."""
        wanted = [k for k in numbers if k not in self._measured]
        explanations = [self._explanations[k] for k in wanted]
        for k, aligned in zip(wanted, align(explanations), strict=True):
            self._measured[k] = self._candidate(self._explanations[k], aligned)

    def _candidate(self, explanation: Explanation, aligned: list[Aligned]) -> _Candidate:
        traces, tolerances = self._traces, self._tolerances
        moved = judged(movement(explanation, aligned, traces, tolerances.tiny), tolerances)
        by_fit = starts(explanation, aligned)
        begun = judged(by_fit, tolerances)
        strayed = judged(legibility.strays(explanation, aligned), tolerances)
        cost = (
            explanation.cost
            + sum(_FINDING_COST.get(finding.kind, 0.0) for finding in [*moved, *begun])
            + WEIGHTS.skipped_cost * sum(_skips(explanation, finding) for finding in begun)
            + WEIGHTS.strayed_cost * len(strayed)
            + WEIGHTS.inked_cost * sum(_inked(explanation, aligned, index) for index in explanation.missing)
            + WEIGHTS.hardly_there_cost * (explanation.lacks > WEIGHTS.hardly_there)
        )
        return _Candidate(explanation, aligned, moved, by_fit, begun, strayed, cost)


def _with_copy(report: Report, first: int, count: int) -> Report:
    """The report on a letter behind which it was written once more."""
    findings = in_teaching_order([*report.findings, Finding(Kind.EXTRA, 1, 0, trace=first, part=(0.0, 1.0))])
    return replace(report, findings=findings, assigned=(*report.assigned, *[()] * (count - first)))


def _dotted(ink: Ink) -> Ink:
    """Ink of one place only, taps, is given a hair of length so that it can be fitted to anything."""
    left, top, right, bottom = ink.bounds
    if right > left or bottom > top:
        return ink
    hair = max(1e-6, 1e-6 * abs(left), 1e-6 * abs(top))
    return Ink.from_arrays([np.array([[left, top], [left + hair, top + hair]])] * len(ink))


def _assigned(explanation: Explanation, count: int) -> tuple[tuple[int, ...], ...]:
    table: list[tuple[int, ...]] = [()] * count
    for pairing in explanation.pairings:
        for trace in pairing.traces:
            table[trace] = pairing.strokes
    return tuple(table)


def _inked(explanation: Explanation, aligned: Sequence[Aligned], index: int) -> bool:
    """Whether half of a stroke that no trace stands for has ink: a stem that only the arch goes up on."""
    if not aligned:
        return False
    stroke, ahead = _probes(explanation.formation.strokes[index])
    ink = np.concatenate([laid.drawn for laid in aligned])
    headings = np.concatenate([tangents(laid.drawn) for laid in aligned])
    apart = stroke[:, None] - ink
    x, y = ahead.T[:, :, None]
    onward = abs(apart[..., 0] * x + apart[..., 1] * y) < WEIGHTS.onward
    aside = abs(apart[..., 1] * x - apart[..., 0] * y) < WEIGHTS.beside
    parallel = abs(ahead @ headings.T) > WEIGHTS.parallel
    return bool((onward & aside & parallel).any(axis=1).mean() >= WEIGHTS.inked_share)


def _skips(explanation: Explanation, begun: Finding) -> bool:
    """Whether a stroke was begun behind its first part, as a 5 in one stroke without its bar."""
    assert begun.stroke is not None
    first = _first_corner(explanation.formation.strokes[begun.stroke])
    return first is not None and begun.amount > WEIGHTS.skipped_share * first


@lru_cache(maxsize=4096)
def _first_corner(stroke: Stroke) -> float | None:
    """How far along a stroke its first corner is, in x-heights; None where it has none."""
    return next(iter(corners(stroke.path)), None)


@lru_cache(maxsize=4096)
def _probes(stroke: Stroke) -> tuple[Polyline, Polyline]:
    """Places along a stroke and its direction there."""
    places = resample(stroke.path, 16)
    return places, tangents(places)


def _noted(note: Kind, against_taught: Sequence[Finding]) -> list[Finding]:
    """For a formation accepted with a note: what the taught one would have found of that kind.

    Where the taught one has other strokes, as a J without its top bar, it may find nothing of that kind: the
    note is there all the same.
    """
    of_its_kind = [finding for finding in against_taught if finding.kind is note]
    return [replace(finding, note=True) for finding in of_its_kind or [Finding(note, 1.0, 0.0)]]
