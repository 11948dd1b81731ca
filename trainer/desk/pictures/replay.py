"""An attempt as it was written: its ink with marks as a still picture, and with times for the moving pen.

The picture is whole without a script. The script writes over it, on the same user units.
"""

from __future__ import annotations

from collections.abc import Collection, Iterator, Sequence
from dataclasses import dataclass
from math import cos, hypot, pi, sin

import numpy as np
from markupsafe import Markup

from strokes.ink import Ink
from strokes.letter import Formation, GuideLines, Letter
from strokes.polyline import Floats, Polyline, arc_lengths
from strokes.simulation import HOP, SPEED
from strokes.transform import Transform
from trainer.attempt import Attempt
from trainer.desk.pictures import difference
from trainer.desk.pictures.svg import Sheet
from trainer.drawing import FARTHEST, Point, Rect, arrows, drawable, lettering, theme
from trainer.language import finding_words

UNIT = 100.0
"""User units of the picture to the x-height, as in letter files."""

INK, CORE, PEN = 0.09 * UNIT, 0.045 * UNIT, 0.11 * UNIT
"""The width of the ink and of the core of hollow ink, and the radius of the pen that runs over it."""

START, RING, TAG = 0.11 * UNIT, 0.21 * UNIT, 0.12 * UNIT
"""Radii: of a stroke's start, of the ring around a finding, and half the side of the ring's number."""

MARGIN = 0.3 * UNIT

SCALE = 0.95
"""CSS px to the user unit, for a screen: a letter is as large as the model beside it."""

MOST_STARTS = 40
"""Starts that get a number: a letter has a few, and a scribble is not read by them."""

CLEARED = 2000
"""Points of the ink that numbers keep clear of, at most."""

SAME = 0.15
"""Findings nearer to each other than this, in x-heights, share a ring."""


@dataclass(frozen=True)
class NumberedFinding:
    """A finding in words, numbered as in the picture, with what is drawn of it in letter space.

    `at` is its place, where it has one. `other_way` is the piece of the ink that ran the other way, and
    `begins` the place where a stroke begins that was begun somewhere else.
    """

    number: int
    words: str
    at: Point | None
    note: bool = False
    other_way: Polyline | None = None
    begins: Point | None = None


def formation_of(attempt: Attempt, letter: Letter | None) -> Formation | None:
    """The formation that an attempt was judged by, as long as the alphabet has it."""
    if attempt.verdict is None or letter is None:
        return None
    names = {formation.name: formation for formation in letter.formations}
    return names.get(attempt.verdict.formation)


def marks(attempt: Attempt, formation: Formation | None) -> tuple[NumberedFinding, ...]:
    """The findings of an attempt in teaching order, the notes among them."""
    findings = attempt.verdict.findings if attempt.verdict else ()
    return tuple(
        NumberedFinding(
            number,
            finding_words(finding, formation, attempt.letter),
            _drawn(finding.at),
            finding.note,
            difference.other_way(attempt, finding, formation),
            difference.begins(attempt, finding, formation),
        )
        for number, finding in enumerate(findings, 1)
    )


def _drawn(at: Point | None) -> Point | None:
    """Where a place is drawn, as `drawable` draws ink."""
    return at and (min(max(at[0], -FARTHEST), FARTHEST), min(max(at[1], -FARTHEST), FARTHEST))


def moments(ink: Ink) -> dict[str, object]:
    """The ink for the script: for each trace its places in letter space and when the pen was there.

    Times are in seconds from the first touch. Ink that came without times gets an even pace, and
    `timed` is false. It is drawn as in the picture beneath it.
    """
    ink = drawable(ink)
    traces = [
        {"at": np.round(trace.points, 4).tolist(), "t": np.round(times, 4).tolist()}
        for trace, times in zip(ink.traces, _times(ink), strict=True)
    ]
    duration = traces[-1]["t"][-1] if traces else 0.0
    timed = all(trace.times is not None for trace in ink.traces)
    return {"traces": traces, "duration": duration, "timed": timed}


def _times(ink: Ink) -> Iterator[Floats]:
    """The seconds of each trace; a trace whose clock runs back behind the one before follows it at once."""
    clock, first = 0.0, None
    for trace in ink.traces:
        if trace.times is None:
            times = arc_lengths(trace.points) / SPEED + clock + (HOP if first is not None else 0.0)
            first = first or 0.0
        else:
            first = float(trace.times[0]) if first is None else first
            times = trace.times - first
            times = times + max(0.0, clock - float(times[0]))
        clock = float(times[-1])
        yield times


def stage(
    written: Ink,
    guide: GuideLines,
    findings: Sequence[NumberedFinding],
    *,
    title: str,
    shown: Collection[int] = (),
) -> Markup:
    """The ink on its guide lines with numbered starts and the places of findings, ready for the script.

    The traces `shown`, after which a stroke was shown again, are hollow: those are first tries.
    """
    lines = [trace.points * UNIT for trace in drawable(written).traces]
    ink, pieces, marked = Sheet(), Sheet(), Sheet()
    for number, line in enumerate(lines):
        ink.line(line, INK, theme.BLUE)
        if number in shown:
            ink.line(line, CORE, theme.PAPER)
    for finding in findings:
        if finding.other_way is not None:
            _other_way(pieces, np.clip(finding.other_way, -FARTHEST, FARTHEST) * UNIT)
    _Marks(marked, lines).draw(findings)
    reach = ink.reach
    reach.take(marked.reach.left, marked.reach.top, 0.0)
    reach.take(marked.reach.right, marked.reach.bottom, 0.0)
    left, right = reach.left - MARGIN, reach.right + MARGIN
    top = min(guide.ascender * UNIT, reach.top) - MARGIN
    bottom = max(guide.descender * UNIT, reach.bottom) + MARGIN
    ruled = Sheet()
    lettering.guide_lines(ruled, lettering.placed(guide, Transform(UNIT, UNIT)), left, right)
    return Markup(
        '<svg xmlns="http://www.w3.org/2000/svg" class="replay-stage" role="img" data-stage'
        ' data-unit="{:g}" data-hollow="{}" width="{:.0f}" height="{:.0f}"'
        ' viewBox="{:.1f} {:.1f} {:.1f} {:.1f}">'
        "<title>{}</title>{}"
        '<g class="replay-whole">{}</g><g data-paper fill="none" stroke="{}" stroke-width="{}"'
        ' stroke-linecap="round" stroke-linejoin="round"></g><g class="replay-pieces">{}</g>{}'
        '<circle class="replay-pen" data-pen r="{}" fill="{}" stroke="{}" stroke-width="3"/></svg>'
    ).format(
        *(UNIT, " ".join(map(str, sorted(shown))), SCALE * (right - left), SCALE * (bottom - top)),
        *(left, top, right - left, bottom - top, title),
        *(Markup("").join(sheet.elements) for sheet in (ruled, ink)),
        *(theme.BLUE, INK, *(Markup("").join(sheet.elements) for sheet in (pieces, marked))),
        *(PEN, theme.BLACK, theme.PAPER),
    )


def _other_way(sheet: Sheet, piece: Polyline) -> None:
    """The piece of the ink with a core in the color of findings, and arrowheads that point as the pen ran."""
    sheet.line(piece, 0.6 * INK, theme.VERMILLION)
    for chevron in arrows.chevrons([piece], 2 * INK, UNIT, []):
        sheet.line(chevron.line, chevron.width, theme.BLACK)


class _Marks:
    """Starts and findings drawn beside the ink: blue discs and vermillion rings, each with its number."""

    def __init__(self, sheet: Sheet, lines: Sequence[Polyline]) -> None:
        self.sheet = sheet
        self.lines = lines
        every = np.vstack(lines)
        self.ink = every[:: 1 + len(every) // CLEARED]
        self.taken: list[Point] = []

    def draw(self, findings: Sequence[NumberedFinding]) -> None:
        """The rings first: the number of a start makes room for them."""
        rings = list(_together(findings))
        self.taken = [at for at, _ in rings]
        for at, _ in rings:
            self.sheet.ring(at, RING, 0.035 * UNIT, theme.VERMILLION)
        for at, numbers in rings:
            self._tag(at, numbers)
        for finding in findings:
            if finding.at is not None and finding.begins is not None:
                self._missed_start(finding.at, finding.begins)
        for number, line in enumerate(self.lines[:MOST_STARTS], 1):
            self._start(number, (float(line[0, 0]), float(line[0, 1])))

    def _tag(self, at: Point, numbers: str) -> None:
        """The number in a box that touches its ring."""
        x, y = self._free(at, RING + TAG, TAG)
        half = TAG * max(1.0, 0.45 * len(numbers) + 0.4)
        box = Rect(x - half, y - TAG, 2 * half, 2 * TAG)
        self.sheet.panel(box, 0.2 * TAG, theme.PAPER, theme.VERMILLION, 0.025 * UNIT)
        self.sheet.text(numbers, (x, y), 1.4 * TAG, theme.BLACK, bold=True, wrap=False)

    def _missed_start(self, at: Point, begins: Point) -> None:
        """A dashed line from where the pen began to a small ring where the stroke begins."""
        here, there = ((x * UNIT, y * UNIT) for x, y in (at, begins))
        self.sheet.line([here, there], 0.03 * UNIT, theme.VERMILLION, dashed=True)
        self.sheet.ring(there, START, 0.035 * UNIT, theme.VERMILLION)
        self.taken.append(there)

    def _start(self, number: int, at: Point) -> None:
        """The number in a disc beside the place where the pen came down, and a line to it."""
        center = self._free(at, 2.4 * START, START)
        self.sheet.line([center, at], 0.02 * UNIT, theme.BLUE)
        self.sheet.disc(center, START, theme.BLUE)
        self.sheet.text(str(number), center, 1.4 * START, theme.PAPER, bold=True, wrap=False)

    def _free(self, at: Point, away: float, radius: float) -> Point:
        """The place around `at` that is clearest of ink and of other marks, and now taken."""
        places = [
            (at[0] + away * cos(turn * pi / 8), at[1] + away * sin(turn * pi / 8)) for turn in range(-4, 12)
        ]
        place = max(places, key=lambda place: min(self._clear(place), 2.5 * radius))
        self.taken.append(place)
        return place

    def _clear(self, place: Point) -> float:
        ink = float(np.hypot(*(self.ink - place).T).min()) - INK / 2
        others = [hypot(place[0] - other[0], place[1] - other[1]) - START for other in self.taken]
        return min([ink, *others])


def _together(findings: Sequence[NumberedFinding]) -> Iterator[tuple[Point, str]]:
    """The places in user units with the numbers of the findings there."""
    places: list[tuple[Point, list[NumberedFinding]]] = []
    for mark in findings:
        if mark.at is None:
            continue
        near = [
            marks_there for at, marks_there in places if hypot(at[0] - mark.at[0], at[1] - mark.at[1]) < SAME
        ]
        if near:
            near[0].append(mark)
        else:
            places.append((mark.at, [mark]))
    for (x, y), marks_there in places:
        yield (x * UNIT, y * UNIT), ", ".join(str(mark.number) for mark in marks_there)
