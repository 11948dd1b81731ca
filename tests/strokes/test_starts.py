"""How far from its start a stroke was begun."""

from __future__ import annotations

from math import hypot

import numpy as np
import pytest
import shapely

from strokes.checks import check
from strokes.checks.starts import hangs, heading, start_gap
from strokes.ink import Ink
from strokes.kinds import Kind
from strokes.letter import GuideLines
from strokes.polyline import Polyline, cut, length, resample
from strokes.weights import WEIGHTS
from tests.cases import for_each
from tests.shipped import PRINT as ALPHABET


def gap(name: str, begun: tuple[float, float]) -> float:
    return start_gap(begun, ALPHABET[name].taught.strokes[0], guide=None)[0]


@for_each("name", "acdefgqsz")
@for_each("by", [0.1, 0.4, 0.6])
def test_what_is_left_out_of_a_curve_or_a_bar_is_measured_along_it(name: str, by: float) -> None:
    left, top = cut(ALPHABET[name].taught.strokes[0].path, 0.0, by)[-1]

    assert gap(name, (left, top)) == pytest.approx(by)


@for_each("name", "acdefgqsz")
def test_the_place_along_a_curve_is_that_of_shapely(name: str) -> None:
    """Against shapely's line_locate_point (GEOS), on the part of the stroke where starts are looked for."""
    stroke = ALPHABET[name].taught.strokes[0]
    line = shapely.linestrings(cut(stroke.path, 0.0, WEIGHTS.latest))
    beside = np.random.default_rng(1).normal(0.0, 0.15, (40, 2))
    late = [place for by in np.linspace(0.1, 0.8, 40) for place in cut(stroke.path, by, by)] + beside
    late = late[(late - stroke.start) @ heading(stroke) > 0]
    points = shapely.points(late)
    expected = np.hypot(
        shapely.line_locate_point(line, points), WEIGHTS.aside * shapely.distance(line, points)
    )

    assert [gap(name, (x, y)) for x, y in late.tolist()] == pytest.approx(expected.tolist())


@for_each("name", "acdefgoqsz")
def test_a_start_before_the_stroke_counts_by_three_quarters(name: str) -> None:
    stroke = ALPHABET[name].taught.strokes[0]
    across, down = heading(stroke)

    assert gap(name, (stroke.start[0] - 0.4 * across, stroke.start[1] - 0.4 * down)) == pytest.approx(
        0.4 * WEIGHTS.early
    )


def test_beside_a_bar_counts_by_half() -> None:
    left, top = ALPHABET["z"].taught.strokes[0].start

    assert gap("z", (left + 0.3, top - 0.2)) == pytest.approx(hypot(0.3, WEIGHTS.aside * 0.2))


@pytest.mark.parametrize("name", "nruvwx")
def test_of_a_stem_without_lines_the_height_counts(name: str) -> None:
    left, top = ALPHABET[name].taught.strokes[0].start

    assert gap(name, (left, top + 0.3)) == pytest.approx(0.3)


@pytest.mark.parametrize("name", "hlnBRUY")
def test_between_lines_the_height_of_a_stem_and_how_far_aside_it_began_are_judged_apart(name: str) -> None:
    stroke = ALPHABET[name].taught.strokes[0]
    left, top = stroke.start

    for aside, low, expected in [(0.4, 0.34, 0.34), (-0.4, 0.34, 0.34), (0.8, 0.1, WEIGHTS.aside * 0.8)]:
        measured, tolerance = start_gap((left + aside, top + low), stroke, guide=ALPHABET.guide)
        assert (measured, tolerance) == (pytest.approx(expected), "start")


def test_only_the_side_of_a_6_and_the_arms_of_a_k_slant_down_from_the_top_of_a_tall_letter() -> None:
    """Flatter than a steep slant, of which the height between lines is measured already; marks apart."""
    gaps_found = {
        letter.name
        for letter in ALPHABET.letters
        if not letter.base
        for stroke in letter.taught.strokes
        if hangs(stroke) and heading(stroke)[1] <= WEIGHTS.steep
    }

    assert gaps_found == {"6", "K"}


@pytest.mark.parametrize("by", [0.0, 0.2, 0.9])
def test_a_6_begun_below_its_line_is_told_between_lines_whatever_its_slant(by: float) -> None:
    path = ALPHABET["6"].taught.strokes[0].path
    ink = Ink.from_arrays([cut(path, by, length(path))])

    report = check(ink, ALPHABET["6"], guide=GuideLines())

    assert (Kind.START in report.kinds) == (by > 0.5)


def ring(name: str, begun: float, width: float) -> Polyline:
    """A closed ring that is `width` as wide as the letter's own, begun so many x-heights further along it."""
    path = resample(ALPHABET[name].taught.strokes[0].path, 200) * (width, 1.0)
    late = cut(path, begun, length(path))
    return np.vstack([late, cut(path, 0.0, begun)])


@pytest.mark.parametrize("name", "O0")
def test_how_far_from_its_top_a_ring_is_begun_is_measured_on_paper(name: str) -> None:
    """A narrow one is fitted wider than it was written, a wide one narrower: neither moves its start."""
    narrow, wide = (Ink.from_arrays([ring(name, 0.32, width)]) for width in (0.75, 1.3))
    wide_late = Ink.from_arrays([ring(name, 0.45, 1.3)])

    assert check(narrow, ALPHABET[name]).formed
    assert check(wide, ALPHABET[name]).formed
    assert Kind.START in check(wide_late, ALPHABET[name]).kinds


def test_of_the_arm_of_a_k_without_lines_the_height_counts() -> None:
    """Its leg often reaches further to the right than its arm."""
    stem, rest = (stroke.path for stroke in ALPHABET["K"].taught.strokes)
    corner = rest[np.argmin(rest[:, 0])]
    arm = np.linspace(rest[0] + (-0.35, 0.2), corner, 20)
    leg = np.linspace(corner, rest[-1] + (0.3, 0.0), 20)

    assert check(Ink.from_arrays([stem, np.vstack([arm, leg])]), ALPHABET["K"]).formed


def test_an_8_may_be_begun_anywhere_at_its_top_and_not_at_its_side() -> None:
    path = next(formation for formation in ALPHABET["8"].formations if formation.name == "high-start")
    (high,) = (stroke.path for stroke in path.strokes)
    side = np.vstack([cut(high, 0.7, length(high)), cut(high, 0.0, 0.7)])

    assert check(Ink.from_arrays([high]), ALPHABET["8"]).formed
    assert Kind.START in check(Ink.from_arrays([side]), ALPHABET["8"]).kinds


@pytest.mark.parametrize("name", "3s")
def test_a_short_hook_that_leads_to_the_start_of_a_curve_counts_as_begun_early(name: str) -> None:
    """Begun at the same place without it, the beginning of the curve is not written."""
    path = ALPHABET[name].taught.strokes[0].path
    inward = np.sign(path[:, 0].mean() - path[0, 0])
    hook = np.linspace(path[0] + (0.42 * inward, 0.0), path[0], 12)[:-1]
    late = cut(path, 0.6, length(path))

    assert Kind.START not in check(Ink.from_arrays([np.vstack([hook, path])]), ALPHABET[name]).kinds
    assert Kind.START in check(Ink.from_arrays([late]), ALPHABET[name]).kinds


def test_a_3_may_have_a_smaller_upper_curve_and_not_be_begun_in_its_middle() -> None:
    """Arcs of ellipses, the upper half as wide as the lower and begun near its top."""
    above, below = np.radians(np.linspace(-110, 80, 30)), np.radians(np.linspace(-80, 150, 30))
    upper = np.column_stack([0.3 + 0.27 * np.cos(above), -1.56 + 0.42 * np.sin(above)])
    lower = np.column_stack([0.3 + 0.56 * np.cos(below), -0.56 + 0.56 * np.sin(below)])
    path = np.vstack([upper, lower])
    late = cut(path, 0.6, length(path))

    assert check(Ink.from_arrays([path]), ALPHABET["3"]).formed
    assert Kind.START in check(Ink.from_arrays([late]), ALPHABET["3"]).kinds
