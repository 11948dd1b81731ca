"""Judging while the pen moves: told soon, quiet on good strokes, and at pen-up the same as from the whole."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from strokes import Kind, Letter
from strokes.checks.live import LiveTrace, follow
from strokes.letter import Formation, GuideLines
from strokes.polyline import Polyline, arc_lengths, resample
from strokes.simulation.hand import write
from tests.cases import for_each
from tests.shipped import BARE, MARKED, ways
from tests.shipped import PRINT as ALPHABET

THIRD = 1 / 3
"""X-heights of ink within which it must be said."""

STROKES = [
    (formation, index)
    for letter in (*BARE, *MARKED)
    for formation in ways(letter)
    for index in range(len(formation.strokes))
]


def followed(
    line: Polyline, formation: Formation, index: int = 0, *, placed: bool = True
) -> tuple[Kind | None, float, Kind | None]:
    """What is said of a trace, after how much ink, and the kind of the verdict at pen-up."""
    live = LiveTrace(formation, index, placed=placed)
    ink = float("inf")
    for (x, y), along in zip(line.tolist(), arc_lengths(line), strict=True):
        if live.said is None and live.add(x, y) is not None:
            ink = float(along)
        elif live.said is not None:
            live.add(x, y)
    verdict = live.finish()
    return live.said and live.said.kind, ink, verdict and verdict.kind


@for_each("letter", [*BARE, *MARKED], ids=lambda letter: letter.name)
@for_each("placed", [True, False])
def test_nothing_is_said_of_a_stroke_written_as_accepted(letter: Letter, placed: bool) -> None:
    for formation in ways(letter):
        for index, trace in enumerate(write(formation, seed=3).traces):
            said = followed(trace.points, formation, index, placed=placed)

            assert said == (None, float("inf"), None), (formation.name, index)


@for_each("letter", BARE, ids=lambda letter: letter.name)
def test_a_first_stroke_written_backwards_is_told_within_a_third_of_an_x_height(letter: Letter) -> None:
    """Where the letter may stand anywhere, a u or v is told from its mirror image by the turn alone."""
    line = resample(letter.taught.strokes[0].path[::-1], 200)

    said, ink, verdict = followed(line, letter.taught)
    assert said is not None
    assert verdict is not None
    assert ink <= THIRD

    said, _, verdict = followed(line, letter.taught, placed=False)
    assert said is not None
    assert verdict is not None


@for_each("name", ["v", "w", "r", "u", "n", "m", "h", "c", "s", "z", "o", "e"])
@for_each("placed", [True, False])
def test_the_way_is_told_at_pen_up_wherever_the_letter_stands(name: str, placed: bool) -> None:
    formation = ALPHABET[name].taught
    line = resample(formation.strokes[0].path[::-1], 200)
    moved = line if placed else line + (3.7, 0.0)

    finding = follow(LiveTrace(formation, 0, placed=placed), moved)

    assert finding is not None
    assert finding.kind is Kind.DIRECTION


@pytest.mark.parametrize("name", ["l", "b", "t", "c", "k", "d"])
def test_a_start_elsewhere_is_told_within_a_third_of_an_x_height(name: str) -> None:
    formation = ALPHABET[name].taught
    path = resample(formation.strokes[0].path, 300)
    late = path[arc_lengths(path) > 0.7]

    said, ink, verdict = followed(late, formation)

    assert (said, verdict) == (Kind.START, Kind.START)
    assert ink <= THIRD


def test_a_hook_as_the_pen_comes_down_is_not_the_wrong_way() -> None:
    path = resample(ALPHABET["l"].taught.strokes[0].path, 100)
    hook = np.array([[0.0, 0.12], [0.03, 0.05]]) + path[0]

    said, _, verdict = followed(np.vstack([hook, path]), ALPHABET["l"].taught)

    assert (said, verdict) == (None, None)


def test_a_stroke_that_stops_short_is_none_the_worse_for_it() -> None:
    path = resample(ALPHABET["m"].taught.strokes[0].path, 100)
    for count in (1, 5, 30, 60):
        assert followed(path[:count], ALPHABET["m"].taught) == (None, float("inf"), None)


def test_a_dot_is_judged_by_its_place_alone() -> None:
    formation = ALPHABET["i"].taught
    dot = formation.strokes[1].path
    assert ALPHABET["i"].taught.strokes[1].is_dot

    assert followed(dot[::-1], formation, 1)[2] is None
    assert followed(dot + (0.0, 1.2), formation, 1)[2] is Kind.START


def test_a_slip_of_the_hand_has_no_direction() -> None:
    start = ALPHABET["l"].taught.strokes[0].path[0]
    assert followed(np.array([start, start - (0.0, 0.06)]), ALPHABET["l"].taught)[2] is None


def test_no_ink_has_no_verdict() -> None:
    assert LiveTrace(ALPHABET["l"].taught, 0).finish() is None


def test_the_place_of_the_finding_is_in_the_space_of_the_ink() -> None:
    guide = GuideLines(ascender=100, x_height=200, baseline=300, descender=400)
    line = guide.to_letter_space().inverse().apply(ALPHABET["l"].taught.strokes[0].path[::-1])

    finding = follow(LiveTrace(ALPHABET["l"].taught, 0, guide=guide), line)

    assert finding is not None
    assert finding.at == tuple(line[0])


@settings(max_examples=60)
@given(st.sampled_from(STROKES), st.integers(0, 10**6), st.booleans(), st.booleans())
def test_the_verdict_is_the_same_however_the_points_come(
    which: tuple[Formation, int], seed: int, back: bool, placed: bool
) -> None:
    """One by one with the pen, some before and the rest at pen-up, or all at once."""
    formation, index = which
    random = np.random.default_rng(seed)
    line = write(formation, seed=seed % 50).traces[index].points + random.normal(scale=0.2, size=2)
    line = line[::-1] if back else line
    whole = follow(LiveTrace(formation, index, placed=placed), line)
    live = LiveTrace(formation, index, placed=placed)
    for x, y in line[: int(random.integers(len(line) + 1))].tolist():
        live.add(x, y)

    assert follow(live, line) == whole
    assert live.finish() == whole  # asked twice, said twice


@settings(max_examples=40)
@given(st.sampled_from(STROKES), st.booleans(), st.integers(2, 9))
def test_points_in_between_change_nothing(which: tuple[Formation, int], back: bool, times: int) -> None:
    """A fast screen sends more points along the same line."""
    formation, index = which
    path = formation.strokes[index].path
    line = resample(path[::-1] if back else path, 60)
    between = np.linspace(0.0, 59.0, 59 * times + 1)
    dense = np.column_stack([np.interp(between, np.arange(60), axis) for axis in line.T])

    sparse, other = followed(line, formation, index), followed(dense, formation, index)

    assert sparse[0] == other[0]
    assert sparse[2] == other[2]


def test_scribble_behind_a_stroke_is_followed_no_further_than_it_can_matter() -> None:
    """An endless trace costs no more than three strokes, and changes nothing that was seen before."""
    path = resample(ALPHABET["l"].taught.strokes[0].path[::-1], 50)
    live = LiveTrace(ALPHABET["l"].taught, 0)
    for x, y in [*path.tolist(), *path[::-1].tolist(), *path.tolist(), (1e7, -2.0)]:
        live.add(x, y)
    verdict = live.finish()
    for x, y in [(-1e7, 5.0), (1e7, -5.0)]:
        live.add(x, y)

    assert live.finish() == verdict
    assert live.ink > 4e7
