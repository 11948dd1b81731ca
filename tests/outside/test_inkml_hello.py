"""The "hello" example of InkML (W3C Recommendation REC-InkML-20110920): five traces, one a letter.

The points are the specification's own, and `strokes.files.inkml` reads them. The expected values were worked
out apart from this project, y growing downward; lengths and end gaps are given to two digits.
"""

from __future__ import annotations

from typing import NamedTuple

import numpy as np
import pytest

from strokes import polyline
from strokes.files.inkml import read_inkml

HELLO = {
    "h": (
        "10 0, 9 14, 8 28, 7 42, 6 56, 6 70, 8 84, 8 98, 8 112, 9 126, 10 140, 13 154, 14 168, 17 182, 18 "
        "188, 23 174, 30 160, 38 147, 49 135, 58 124, 72 121, 77 135, 80 149, 82 163, 84 177, 87 191, 93 "
        "205"
    ),
    "e": (
        "130 155, 144 159, 158 160, 170 154, 179 143, 179 129, 166 125, 152 128, 140 136, 131 149, 126 "
        "163, 124 177, 128 190, 137 200, 150 208, 163 210, 178 208, 192 201, 205 192, 214 180"
    ),
    "first l": (
        "227 50, 226 64, 225 78, 227 92, 228 106, 228 120, 229 134, 230 148, 234 162, 235 176, 238 190, "
        "241 204"
    ),
    "second l": (
        "282 45, 281 59, 284 73, 285 87, 287 101, 288 115, 290 129, 291 143, 294 157, 294 171, 294 185, "
        "296 199, 300 213"
    ),
    "o": (
        "366 130, 359 143, 354 157, 349 171, 352 185, 359 197, 371 204, 385 205, 398 202, 408 191, 413 "
        "177, 413 163, 405 150, 392 143, 378 141, 365 150"
    ),
}


class Expected(NamedTuple):
    """One row: number of points, the box, length, distance between the ends, half the shoelace sum."""

    points: int
    box: tuple[float, float, float, float]
    length: float
    gap: float
    area: float


TABLE = {
    "h": Expected(27, (6, 0, 93, 205), 366.72, 221.17, -4290.0),
    "e": Expected(20, (124, 125, 214, 210), 274.46, 87.64, -4257.5),
    "first l": Expected(12, (225, 50, 241, 204), 155.55, 154.64, -560.0),
    "second l": Expected(13, (281, 45, 300, 213), 169.76, 168.96, -238.0),
    "o": Expected(16, (349, 130, 413, 205), 217.69, 20.02, -3249.0),
}


@pytest.fixture(scope="module")
def word(tmp_path_factory: pytest.TempPathFactory) -> dict[str, polyline.Polyline]:
    """The five traces by the name of their letter, read from a file."""
    path = tmp_path_factory.mktemp("ink") / "hello.inkml"
    traces = "".join(f"<trace>{points}</trace>" for points in HELLO.values())
    path.write_text(f'<ink xmlns="http://www.w3.org/2003/InkML">{traces}</ink>', encoding="utf-8")
    (specimen,) = read_inkml(path)
    return dict(zip(HELLO, (trace.points for trace in specimen.ink.traces), strict=True))


def test_the_whole_word_is_five_traces_of_88_points(word: dict[str, polyline.Polyline]) -> None:
    assert len(word) == 5
    assert sum(map(len, word.values())) == 88


@pytest.mark.parametrize("name", HELLO)
def test_a_trace_has_the_points_and_the_box_of_the_table(
    word: dict[str, polyline.Polyline], name: str
) -> None:
    line = word[name]

    assert len(line) == TABLE[name].points
    assert polyline.bounds(line) == TABLE[name].box


@pytest.mark.parametrize("name", HELLO)
def test_a_trace_has_the_length_and_the_end_gap_of_the_table(
    word: dict[str, polyline.Polyline], name: str
) -> None:
    line = word[name]

    assert polyline.length(line) == pytest.approx(TABLE[name].length, abs=0.005)
    assert np.hypot(*(line[-1] - line[0])) == pytest.approx(TABLE[name].gap, abs=0.005)


@pytest.mark.parametrize("name", HELLO)
def test_a_trace_has_the_signed_area_of_the_table(word: dict[str, polyline.Polyline], name: str) -> None:
    assert polyline.signed_area(word[name]) == TABLE[name].area


def test_the_o_runs_anticlockwise_from_the_top(word: dict[str, polyline.Polyline]) -> None:
    """It goes down its left side first; on a screen that is a negative area and a negative turning."""
    line = word["o"]

    assert line[0, 1] == line[:, 1].min()
    assert polyline.signed_area(line) < 0
    assert polyline.turning(line) == pytest.approx(-360, abs=90)


def test_the_e_starts_in_the_middle_of_the_left_and_turns_anticlockwise(
    word: dict[str, polyline.Polyline],
) -> None:
    line = word["e"]

    assert line[1, 0] > line[0, 0]
    assert polyline.turning(line) < -180
