"""A letter from ink: one try or several, any size and place, ends put where they belong, and bad ink told."""

from __future__ import annotations

import numpy as np
import pytest

from strokes import GuideLines, Ink, InkError, Letter, LetterError, check, letter_from_ink
from strokes.modeling import Curves, strokes_from_ink
from strokes.modeling.averaging import average
from strokes.polyline import resample
from strokes.simulation import write
from strokes.transform import Transform
from tests.cases import for_each
from tests.shipped import PRINT as ALPHABET

NAMES = "abefgikmostz"


def apart(letter: Letter, other: Letter) -> float:
    """The mean distance of two drawings stroke by stroke, in x-heights, wherever they stand sideways."""
    lines = [
        np.vstack([resample(stroke.path, 100) for stroke in from_one.taught.strokes])
        for from_one in (letter, other)
    ]
    first, second = (line - (line[:, 0].mean(), 0.0) for line in lines)
    return float(np.hypot(*(first - second).T).mean())


@for_each("name", NAMES)
def test_a_letter_written_once_is_that_letter(name):
    """It has the strokes of the model, and a hand that writes the model forms it well."""
    letter = letter_from_ink(name, [write(ALPHABET[name], seed=7)])

    assert apart(letter, ALPHABET[name]) < 0.06
    report = check(write(ALPHABET[name], seed=8), letter, guide=ALPHABET.guide)
    assert report.well_formed
    assert report.looks_right


def test_the_same_ink_twice_gives_the_same_letter():
    inks = [write(ALPHABET["a"], seed=seed) for seed in range(3)]
    first, second = (letter_from_ink("a", inks) for _ in range(2))

    np.testing.assert_array_equal(first.taught.strokes[0].path, second.taught.strokes[0].path)


def test_five_tries_are_nearer_to_what_was_meant_than_one():
    from_one, five = (
        np.mean(
            [
                apart(
                    letter_from_ink(name, [write(ALPHABET[name], seed=s, tremor=0.06) for s in seeds]),
                    ALPHABET[name],
                )
                for name in "anos"
            ]
        )
        for seeds in ([0], range(5))
    )
    assert five < 0.75 * from_one


def test_a_try_written_elsewhere_on_the_line_is_averaged_all_the_same():
    inks = [write(ALPHABET["k"], seed=seed) for seed in range(3)]
    moved = [ink.transformed(Transform(shift_x=2.5 * number)) for number, ink in enumerate(inks)]

    assert apart(letter_from_ink("k", inks), letter_from_ink("k", moved)) < 1e-6


@pytest.mark.parametrize("unit", [8.0, 4000.0])
def test_tiny_and_huge_ink_between_its_own_lines_gives_the_same_letter(unit):
    ink = write(ALPHABET["p"], seed=3)
    lines = GuideLines(ascender=3 * unit, x_height=4 * unit, baseline=5 * unit, descender=6 * unit)
    there = ink.transformed(Transform(unit, unit, -70 * unit, 5 * unit))

    letter, plain = letter_from_ink("p", [there], guide=lines), letter_from_ink("p", [ink])
    assert apart(letter, plain) < 1e-6
    assert float(letter.taught.strokes[0].path[:, 0].min()) == pytest.approx(0.0, abs=0.02)


def test_without_lines_the_ink_stays_where_it_is():
    ink = Ink.from_arrays([[(0.7, -2.0), (0.7, 0.0)]])

    np.testing.assert_allclose(letter_from_ink("l", ink).taught.strokes[0].path, [(0.7, -2), (0.7, 0)])


def test_lines_of_another_style_are_the_ones_that_ends_are_put_on():
    low = GuideLines(ascender=-1.7, descender=0.8)
    ink = Ink.from_arrays([[(0, -1.66), (0, 0.04)]])

    np.testing.assert_allclose(
        letter_from_ink("l", ink, guide=low).taught.strokes[0].path, [(0, -1.7), (0, 0)], atol=1e-9
    )


def test_a_letter_that_stays_in_place_is_put_on_its_lines_and_not_at_the_edge():
    low = GuideLines(ascender=-1.7, descender=0.8)
    ink = Ink.from_arrays([[(0.7, -1.66), (0.7, 0.04)]])

    (stem,) = letter_from_ink("l", ink, guide=low, in_place=True).taught.strokes
    np.testing.assert_allclose(stem.path, [(0.7, -1.7), (0.7, 0)], atol=1e-9)


def test_one_more_stroke_is_put_on_the_lines_and_on_the_others_which_stay():
    low = GuideLines(ascender=-1.7, descender=0.8)
    stem = Curves.of_polyline(np.array([(0.0, -1.66), (0.0, 0.0)]))
    bow = np.array([(0.03, -1.68), (0.6, -1.2), (0.03, -0.7)])

    curves, same = strokes_from_ink([bow, stem], guide=low, error=0.05)
    np.testing.assert_allclose(curves.points[0], (0.0, -1.7), atol=0.05)
    assert curves.points[0, 1] == pytest.approx(-1.7)
    assert curves.points[-1, 0] == pytest.approx(0.0, abs=1e-9)
    assert same is stem


def test_a_scribble_among_strokes_is_told_by_its_number():
    scribble = np.clip(np.cumsum(np.random.default_rng(3).normal(0, 0.12, (150, 2)), axis=0), -0.9, 0.9)
    stem = Curves.of_polyline(np.array([(0.0, -2.0), (0.0, 0.0)]))

    with pytest.raises(LetterError, match=r"^stroke 2: .*scribble"):
        strokes_from_ink([stem, scribble], guide=GuideLines())


def strokes(*arrays: list[tuple[float, float]]) -> list[np.ndarray]:
    letter = letter_from_ink("x", Ink.from_arrays(arrays))
    return [stroke.path for stroke in letter.taught.strokes]


def test_ends_near_a_guide_line_are_put_on_it_and_others_are_left():
    (stem,) = strokes([(0, -1.96), (0.02, -0.04)])
    (short,) = strokes([(0, -1.6), (0, -0.3)])

    np.testing.assert_allclose(stem[[0, -1], 1], (-2, 0))
    np.testing.assert_allclose(short, [(0, -1.6), (0, -0.3)])


def test_a_bar_that_begins_beside_a_stem_begins_on_it():
    _, bar = strokes([(0, -2), (0, 0)], [(0.04, -0.55), (0.6, -0.52)])

    assert bar[0, 0] == pytest.approx(0, abs=1e-9)
    assert bar[-1, 0] == pytest.approx(0.6)


def test_a_stroke_that_begins_beside_the_end_of_another_begins_there():
    _, arm = strokes([(0, -2), (0, -0.5)], [(0.03, -0.53), (0.8, -0.57)])

    np.testing.assert_allclose(arm[0], (0, -0.5), atol=1e-9)


def test_a_bar_that_crosses_a_stem_stays_across_it():
    _, bar = strokes([(0.3, -1.5), (0.3, 0)], [(0, -1), (0.6, -1)])

    np.testing.assert_allclose(bar, [(0, -1), (0.6, -1)])


def test_a_bowl_that_nearly_closes_is_closed():
    turn = np.linspace(-np.pi / 2, 1.48 * np.pi, 100)
    (ring,) = strokes(np.column_stack([0.5 - 0.5 * np.cos(turn), -0.5 + 0.5 * np.sin(turn)]).tolist())

    np.testing.assert_allclose(ring[0], ring[-1], atol=1e-9)


def test_the_end_of_a_c_is_not_put_on_the_line_that_its_bowl_reaches():
    letter = letter_from_ink("c", [write(ALPHABET["c"], tremor=0.0)])

    np.testing.assert_allclose(letter.taught.strokes[0].path[0], ALPHABET["c"].taught.strokes[0].path[0])


def test_a_tap_is_a_dot_beside_another_stroke():
    letter = letter_from_ink("i", Ink.from_arrays([[(0, -1), (0, 0)], [(0, -1.4)]]))

    assert [stroke.is_dot for stroke in letter.taught.strokes] == [False, True]


def test_a_looser_bound_takes_no_more_curves():
    inks = [write(ALPHABET["g"], seed=2, tremor=0.04)]
    tight, loose = (
        len(letter_from_ink("g", inks, error=error).taught.strokes[0].curves) for error in (0.01, 0.15)
    )
    assert loose < tight


# --- ink that is no letter

STEM = [(0.0, -2.0), (0.0, 0.0)]
SCRIBBLE = np.random.default_rng(0).uniform(-1, 1, (80, 2)).tolist()
BAD = {
    "no try": ([], "1 to 50 tries, not 0"),
    "no ink": ([Ink()], "try 1 must have 1 to 12 strokes, not 0"),
    "too many strokes": ([Ink.from_arrays([STEM] * 13)], "1 to 12 strokes, not 13"),
    "one tap": ([Ink.from_arrays([[(0, 0)]])], "more than a tap"),
    "two taps": ([Ink.from_arrays([[(0, 0)], [(1, -1)]])], "more than a tap"),
    "a speck": ([Ink.from_arrays([[(0, -0.3), (0, 0)]])], "at least 0.5 x-heights tall or wide, not 0.3"),
    "pixels without lines": ([Ink.from_arrays([[(300, 200), (305, 212)]])], "are these the guide lines"),
    "a scribble": ([Ink.from_arrays([SCRIBBLE])], "stroke 1: "),
    "tries of other strokes": ([Ink.from_arrays([STEM]), Ink.from_arrays([STEM] * 2)], "as many strokes"),
    "a try that runs back": ([Ink.from_arrays([STEM]), Ink.from_arrays([STEM[::-1]])], "not the other way"),
    "a try of another shape": (
        [write(ALPHABET["o"]), Ink.from_arrays([STEM])],
        "try 2, stroke 1 must be like that of try 1",
    ),
}


@for_each("case", BAD)
def test_ink_that_is_no_letter_is_told_in_one_sentence(case):
    inks, sentence = BAD[case]
    with pytest.raises(LetterError, match=sentence) as caught:
        letter_from_ink("x", inks)
    assert "\n" not in str(caught.value)


def test_points_that_are_none_cannot_even_be_ink():
    with pytest.raises(InkError, match="finite"):
        Ink.from_arrays([[(0, 0), (np.nan, 1)]])


@pytest.mark.parametrize("name", ["", "two words", "x" * 9, "a\n"])
def test_a_name_that_is_none_is_refused(name):
    with pytest.raises(LetterError, match="the letter's name must be"):
        letter_from_ink(name, Ink.from_arrays([STEM]))


def test_cues_go_with_their_strokes():
    ink = write(ALPHABET["t"])

    letter = letter_from_ink("t", ink, cues=["Down.", "Across."])
    assert [stroke.cue for stroke in letter.taught.strokes] == ["Down.", "Across."]
    with pytest.raises(LetterError, match="a cue for each of the 2 strokes, not 1"):
        letter_from_ink("t", ink, cues=["Down."])


def test_one_try_is_its_own_average():
    lines = [trace.points for trace in write(ALPHABET["t"]).traces]

    for line, mean in zip(lines, average([lines]), strict=True):
        np.testing.assert_array_equal(line, mean)


def test_corners_go_with_corners_whatever_the_pace():
    """Two v, one of them slow at its start: the average keeps the point of the v sharp."""
    first = np.array([(0, -1), (0.4, 0), (0.8, -1)])
    second = np.array([(0, -1), (0.3, 0), (0.8, -1)])

    (mean,) = average([[first], [second]])
    assert np.hypot(*(mean - (0.35, 0.0)).T).min() < 0.05
